import { type Browser, chromium } from 'playwright-core';
import { toolPath } from './environment.ts';

/**
 * Starts a real Chromium without a window, quiet on the network.
 *
 * @param more further switches of its command line
 * @returns the browser; the caller closes it
 */
export function launchBrowser(more: readonly string[] = []): Promise<Browser> {
  return chromium.launch({
    executablePath: toolPath('chromium'),
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      ...more,
    ],
  });
}
