import type { NewContactMethod } from '../../shared/model/people/people.ts';

/** Whether this browser can take notifications, and whether its owner lets it. */
export type PushState = 'insecure' | 'unsupported' | 'denied' | 'askable' | 'granted';

/** What this browser would say to notifications now. */
export function pushState(): PushState {
  if (!window.isSecureContext) return 'insecure';
  if (!('serviceWorker' in navigator) || !('PushManager' in window) || !('Notification' in window))
    return 'unsupported';
  if (Notification.permission === 'denied') return 'denied';
  return Notification.permission === 'granted' ? 'granted' : 'askable';
}

/**
 * Asks the browser's owner and its push service, and gives the contact method by which this browser is reached.
 * @param pushKey the daemon's public key, base64url
 * @returns null when the owner refused
 * @throws Error when the push service cannot be reached
 */
export async function subscribe({
  pushKey,
  name,
}: {
  pushKey: string;
  name: string;
}): Promise<NewContactMethod | null> {
  if ((await Notification.requestPermission()) !== 'granted') return null;
  const registration = await navigator.serviceWorker.ready;
  const before = await registration.pushManager.getSubscription();
  // one made for another key would be refused
  await before?.unsubscribe();
  const made = await registration.pushManager.subscribe({
    userVisibleOnly: true,
    applicationServerKey: pushKey,
  });
  const { endpoint, keys } = made.toJSON();
  const [p256dh, auth] = [keys?.['p256dh'], keys?.['auth']];
  if (!endpoint || !p256dh || !auth) throw new Error('The browser gave no address for notifications.');
  return { kind: 'push', name, subscription: { endpoint, keys: { p256dh, auth } } };
}
