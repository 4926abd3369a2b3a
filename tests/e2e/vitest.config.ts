import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["tests/e2e/*.e2e.ts"],
    // One workbench, one thing after the other: what one test leaves the next one finds.
    fileParallelism: false,
    bail: 1,
    testTimeout: 240_000,
    hookTimeout: 300_000,
    reporters: ["verbose"],
  },
});
