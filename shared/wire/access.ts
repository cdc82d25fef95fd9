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
