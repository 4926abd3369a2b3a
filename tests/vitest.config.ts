import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["tests/**/*.test.ts"],
    globalSetup: ["tests/support/globalSetup.ts"],
    testTimeout: 60_000,
  },
});
