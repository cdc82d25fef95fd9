import { Fault } from '../../../shared/faults.ts';
import { MAX_PASSKEYS } from '../../../shared/model/people/roles.ts';
import type { PasskeyRow } from '../../../shared/wire/access.ts';
import type { Access, Guest, KeptPasskey, Site } from '../../ports.ts';
import type { AccessParts } from './deps.ts';
import { createSteps } from './steps.ts';

type Passkeys = Pick<Access, 'passkeys' | 'offerPasskey' | 'addPasskey' | 'removePasskey'>;
type Offer = { readonly accountId: number; readonly site: Site; readonly challenge: string };

/** Passkeys as a second factor: added, listed and removed by who is signed in. */
export function createPasskeys(parts: AccessParts): Passkeys {
  const { record, clock, passkeyCheck, events } = parts;
  const offers = createSteps<Offer>(parts);
  const mine = (guest: Guest) => ({ id: guest.accountId, name: guest.name });
  const accountsFor = (guest: Guest) => (guest.role === 'own' ? record.accounts() : [mine(guest)]);
  return {
    passkeys: (guest) =>
      accountsFor(guest).flatMap(({ id, name }) =>
        record
          .passkeysOf(id)
          .map((passkey) => rowOf(passkey, { account: name, own: id === guest.accountId })),
      ),
    async offerPasskey(guest, site) {
      if (site === null) throw noSite();
      const had = record.passkeysOf(guest.accountId);
      requireRoom(had);
      const { options, challenge } = await passkeyCheck.offer({ site, account: guest.name, had });
      const { ticket } = offers.begin({ accountId: guest.accountId, site, challenge });
      return { ticket, options };
    },
    async addPasskey(guest, { ticket, name, credential }, by) {
      const offer = offers.take(ticket);
      const isOwn = offer !== null && offer.accountId === guest.accountId;
      const made = isOwn ? await passkeyCheck.made(credential, offer) : null;
      if (made === null || offer === null) {
        throw badRequest('The passkey does not prove itself, or came too late: begin again.');
      }
      requireRoom(record.passkeysOf(guest.accountId));
      if (record.passkeys().some((one) => one.credential === made.credential)) {
        throw badRequest('This passkey was added already.');
      }
      const kept = record.addPasskey({
        ...made,
        accountId: guest.accountId,
        name,
        host: offer.site.host,
        createdMs: clock.nowMs(),
      });
      events.note({ kind: 'passkey-added', who: by.name, whom: guest.name, address: by.address, note: name });
      return rowOf(kept, { account: guest.name, own: true });
    },
    removePasskey(guest, id, by) {
      const passkey = record.passkeys().find((one) => one.id === id);
      const account = accountsFor(guest).find((one) => one.id === passkey?.accountId);
      if (!passkey || !account) throw new Fault({ code: 'not-found', message: 'There is no such passkey.' });
      record.removePasskey(id);
      const { name: note } = passkey;
      events.note({ kind: 'passkey-removed', who: by.name, whom: account.name, address: by.address, note });
    },
  };
}

function requireRoom(had: readonly KeptPasskey[]): void {
  if (had.length < MAX_PASSKEYS) return;
  throw badRequest(`An account has at most ${MAX_PASSKEYS} passkeys: remove one first.`);
}

function noSite(): Fault {
  return badRequest(
    'A passkey needs https and a host name, or http://localhost; with STRIKEWELL_PUBLIC_URL set, that address.',
  );
}

function rowOf(passkey: KeptPasskey, { account, own }: { account: string; own: boolean }): PasskeyRow {
  const { id, name, host, createdMs, usedMs } = passkey;
  const createdAt = new Date(createdMs).toISOString();
  const usedAt = usedMs === null ? null : new Date(usedMs).toISOString();
  return { id, account, name, host, createdAt, usedAt, own };
}

function badRequest(message: string): Fault {
  return new Fault({ code: 'bad-request', message });
}
