import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["tests/**/*.test.ts"],
    globalSetup: ["tests/support/globalSetup.ts"],
    testTimeout: 60_000,
    // Tests wait for browsers and servers as often as they reckon: two at a time do not get into each other's way.
    maxWorkers: 2,
    // A browser, a server in a process of its own or a clock on a busy machine may stumble once; twice is a fault.
    retry: process.env.CI ? 1 : 0,
  },
});
