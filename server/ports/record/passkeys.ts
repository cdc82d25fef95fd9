import type { NewCredential, UsedCredential } from '../../../shared/model/people/access.ts';

/** The page as WebAuthn names it: its host name, which a passkey is bound to, and its origin. */
export type Site = { readonly host: string; readonly origin: string };

/** A passkey as it is kept. */
export type KeptPasskey = {
  readonly id: number;
  readonly accountId: number;
  readonly name: string;
  /** id of the credential, base64url */
  readonly credential: string;
  /** COSE */
  readonly publicKey: Uint8Array;
  /** of signatures; 0 for ever with most that are kept in step over several devices */
  readonly counter: number;
  readonly transports: readonly string[];
  readonly host: string;
  readonly createdMs: number;
  readonly usedMs: number | null;
};

export type PasskeyRecord = {
  passkeys(): KeptPasskey[];
  passkeysOf(accountId: number): KeptPasskey[];
  addPasskey(passkey: Omit<KeptPasskey, 'id' | 'usedMs'>): KeptPasskey;
  usedPasskey(use: { readonly id: number; readonly counter: number; readonly usedMs: number }): void;
  removePasskey(id: number): void;
};

/** Checks what browsers answer (WebAuthn Level 3). Nothing is looked up on the network. */
export type PasskeyCheck = {
  /** What a browser is asked, to make a passkey, and the challenge it must sign. */
  offer(query: {
    readonly site: Site;
    readonly account: string;
    readonly had: readonly KeptPasskey[];
  }): Promise<Asking>;
  /** The new passkey, or null when the answer does not prove itself. */
  made(
    answer: NewCredential,
    asked: PasskeyChallenge,
  ): Promise<Pick<KeptPasskey, 'credential' | 'publicKey' | 'counter' | 'transports'> | null>;
  /** What a browser is asked, to use one of these passkeys. */
  ask(query: { readonly site: Site; readonly passkeys: readonly KeptPasskey[] }): Promise<Asking>;
  /** The signature counter after this use, or null when the answer does not prove itself. */
  used(
    answer: UsedCredential,
    asked: PasskeyChallenge & { readonly passkey: KeptPasskey },
  ): Promise<{ readonly counter: number } | null>;
};

type Asking = { readonly options: Readonly<Record<string, unknown>>; readonly challenge: string };
type PasskeyChallenge = { readonly site: Site; readonly challenge: string };
