/**
 * Lets the browser keep the built page, so that it opens while the daemon is away. Only where the browser allows it:
 * on this machine itself or over https.
 */
export async function keepShell(): Promise<void> {
  if (!window.isSecureContext || !('serviceWorker' in navigator)) return;
  // without it the page works as before, but for opening while the daemon is away
  await navigator.serviceWorker.register('/sw.js').catch(() => null);
}
