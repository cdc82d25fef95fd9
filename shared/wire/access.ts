import type { AccessEventKind } from '../model/access-event.ts';
import type { Role } from '../model/roles.ts';

export type Account = {
  readonly id: number;
  readonly name: string;
  readonly role: Role;
  readonly createdAt: string;
};

/** Who asks, and whether anybody has to say so. */
export type AccessAnswer = {
  /** true once an owner password is set: then nobody is answered without signing in */
  readonly closed: boolean;
  readonly who: { readonly name: string; readonly role: Role } | null;
  /** the routes that answer who asks, as the OpenAPI document names them: `post /api/v1/demo` */
  readonly may: readonly string[];
  /** whether what is sent to this page is encrypted on its way */
  readonly encrypted: boolean;
};

export type SessionRow = {
  readonly id: number;
  readonly name: string;
  readonly role: Role;
  readonly createdAt: string;
  readonly seenAt: string;
  readonly expiresAt: string;
  readonly address: string;
  readonly agent: string;
  /** whether it is the one that asks */
  readonly own: boolean;
};

export type DeviceLogin = { readonly name: string; readonly createdAt: string };
/** The only answer that ever holds the secret. */
export type NewDeviceLogin = DeviceLogin & { readonly secret: string };

/** The password was right, and the account asks for a passkey too: what a browser is to be asked, until `until`. */
export type PasskeyStep = {
  readonly passkey: { readonly ticket: string; readonly options: object; readonly until: string };
};

export type PasskeyRow = {
  readonly id: number;
  /** of the account */
  readonly account: string;
  readonly name: string;
  /** the host name of the page it works at */
  readonly host: string;
  readonly createdAt: string;
  readonly usedAt: string | null;
  /** whether it is of the account that asks */
  readonly own: boolean;
};
/** What a browser is to be asked to make a passkey. */
export type PasskeyOffer = { readonly ticket: string; readonly options: object };

/** One sign-in, refusal or change of who may. */
export type AccessEvent = {
  readonly id: number;
  readonly kind: AccessEventKind;
  /** of the first, and of the last where `count` is more than 1 */
  readonly from: string;
  readonly at: string;
  readonly count: number;
  /** the account that did it, or was tried; null for a name nobody has, and for whoever is at the machine */
  readonly who: string | null;
  /** the account, device or passkey it was done to */
  readonly whom: string | null;
  /** null at the command line; `several` where more addresses were refused in a minute than are kept apart */
  readonly address: string | null;
  readonly note: string | null;
};
/** `next` continues with older ones as `cursor`; null at the end. */
export type AccessEventsAnswer = { readonly events: readonly AccessEvent[]; readonly next: string | null };
