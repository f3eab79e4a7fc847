// A Chromium for the tests: the system's own, never downloaded.
import { existsSync } from "node:fs";
import { chromium } from "playwright-core";

export const CHROMIUM = process.env.CHROMIUM ?? "/usr/bin/chromium";
export const hasChromium = () => existsSync(CHROMIUM);

export const launch = () =>
  chromium.launch({
    executablePath: CHROMIUM,
    headless: true,
    args: [
      "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
      "--disable-background-networking", "--disable-component-update", "--disable-sync",
    ],
  });
