import { openSync, readFileSync, readSync } from 'node:fs';
import { performance } from 'node:perf_hooks';
import type { SteadyClock, Timers } from '../../ports.ts';

/** Seconds since the computer started, sleep included, which no tool sets: CLOCK_BOOTTIME. @source proc_uptime(5) */
const UPTIME_FILE = '/proc/uptime';
const BOOT_ID_FILE = '/proc/sys/kernel/random/boot_id';
const MOST_BYTES = 64;

const uptime = openUptime();

/** The machine's clock. */
export const systemClock: SteadyClock = {
  nowMs: () => Date.now(),
  elapsedMs: uptime.elapsedMs,
  bootId: () => uptime.bootId,
};

/** Where the system does not say, time since this process started: it stops while the computer sleeps. */
function openUptime(): { readonly elapsedMs: () => number; readonly bootId: string } {
  const own = { elapsedMs: () => performance.now(), bootId: `process-${process.pid}-${crypto.randomUUID()}` };
  try {
    const file = openSync(UPTIME_FILE, 'r');
    const bytes = Buffer.alloc(MOST_BYTES);
    const elapsedMs = () => {
      const count = readSync(file, bytes, 0, MOST_BYTES, 0);
      return Math.round(Number.parseFloat(bytes.toString('latin1', 0, count)) * 1000);
    };
    const bootId = readFileSync(BOOT_ID_FILE, 'utf8').trim();
    return bootId !== '' && Number.isFinite(elapsedMs()) ? { elapsedMs, bootId } : own;
  } catch {
    return own;
  }
}

/** The machine's timers. */
export const systemTimers: Timers = {
  after(delayMs, run) {
    const timer = setTimeout(run, delayMs);
    return () => clearTimeout(timer);
  },
  every(intervalMs, run) {
    const timer = setInterval(run, intervalMs);
    return () => clearInterval(timer);
  },
  soon: (run) => void setImmediate(run),
};
