// The system's Chromium, and phones in it: one context with a clock, a screen size and a wire each.
import { chromium } from "playwright-core";
import { existsSync } from "node:fs";

const names = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable"];
const executablePath = process.env.CHROME_PATH
  ?? names.map((name) => `/usr/bin/${name}`).find(existsSync);

/** A name for this machine as a phone on the same Wi-Fi sees it: plain http that browsers do not trust. */
export const LAN = "site.example";

export const flags = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
  "--disable-background-networking", "--disable-component-update", "--disable-sync",
  `--host-resolver-rules=MAP ${LAN} 127.0.0.1`];

export async function launch(more = []) {
  if (!executablePath) throw new Error("no Chromium: apt-get install chromium, or set CHROME_PATH");
  return chromium.launch({ executablePath, headless: true, timeout: 120_000, args: [...flags, ...more] });
}
