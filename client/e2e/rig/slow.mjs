// A slow phone. Chromium's own CPU throttling reaches the page's main thread only, and our planner
// runs in a worker; so the whole renderer process is stopped and let go again, as that throttling
// does to one thread: a quarter of the time for a phone four times as slow.
import { Worker, isMainThread, parentPort, workerData } from "node:worker_threads";
import { fileURLToPath } from "node:url";

const SLICE_MS = 4;

if (!isMainThread && workerData?.pids) {
  const { pids, rate, flag } = workerData;
  const running = new Int32Array(flag);
  const signal = (name) => { for (const pid of pids) try { process.kill(pid, name); } catch { /* gone already */ } };
  for (let first = true; Atomics.load(running, 0) === 0; first = false) {
    signal("SIGSTOP");
    if (first) parentPort.postMessage("slow");
    Atomics.wait(running, 0, 0, SLICE_MS * (rate - 1));
    signal("SIGCONT");
    Atomics.wait(running, 0, 0, SLICE_MS);
  }
  signal("SIGCONT");
}

/** renderers are the processes that run pages. */
async function renderers(browser) {
  const cdp = await browser.newBrowserCDPSession();
  const { processInfo } = await cdp.send("SystemInfo.getProcessInfo");
  await cdp.detach();
  return processInfo.filter((p) => p.type === "renderer").map((p) => p.id);
}

/** slow makes every page that is open now `rate` times slower, workers too, until the returned stop. */
export async function slow(browser, rate) {
  const flag = new SharedArrayBuffer(4);
  const worker = new Worker(fileURLToPath(import.meta.url), { workerData: { pids: await renderers(browser), rate, flag } });
  await new Promise((resolve) => worker.once("message", resolve));
  return async () => {
    const over = new Promise((resolve) => worker.once("exit", resolve));
    Atomics.store(new Int32Array(flag), 0, 1);
    Atomics.notify(new Int32Array(flag), 0);
    await over;
  };
}
