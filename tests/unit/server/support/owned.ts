import type { Store } from '../../../../server/ports.ts';

/** Sets an owner password as far as the record goes: from then on new devices wait. */
export function ownHouse(store: Store): void {
  store.access.addAccount({ name: 'owner', role: 'own', password: 'kept', createdMs: 1 });
}

/** Gives a device a login of its own as far as the record goes. */
export function ownLogin(store: Store, name: string): void {
  store.access.addDevice({ name, fingerprint: `${name}-secret`, createdMs: 1 });
}
