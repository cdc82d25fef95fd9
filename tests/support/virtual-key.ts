import type { CDPSession, Page } from 'playwright-core';

/** A passkey device that the browser itself plays: it agrees to everything at once. */
export type VirtualKey = { readonly cdp: CDPSession; readonly authenticatorId: string };

/**
 * Plugs one into a page. It is gone once any debugging session of the page is detached: Chromium then ends all of them.
 *
 * @param page an open page
 */
export async function virtualKey(page: Page): Promise<VirtualKey> {
  const cdp = await page.context().newCDPSession(page);
  await cdp.send('WebAuthn.enable');
  const { authenticatorId } = await cdp.send('WebAuthn.addVirtualAuthenticator', {
    options: {
      protocol: 'ctap2',
      transport: 'internal',
      hasResidentKey: true,
      hasUserVerification: true,
      isUserVerified: true,
      automaticPresenceSimulation: true,
    },
  });
  return { cdp, authenticatorId };
}
