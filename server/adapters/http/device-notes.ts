import type { Request } from 'express';
import type { Access, NewAccessEvent } from '../../ports.ts';
import type { AuthGuard } from './auth-guard.ts';

export type DeviceNotesDeps = {
  readonly access: Pick<Access, 'note'>;
  readonly authGuard: Pick<AuthGuard, 'actorOf'>;
};
type DeviceEvent = {
  readonly kind: Extract<NewAccessEvent['kind'], `device-${string}`>;
  readonly device: string;
  readonly note?: string;
};

/** Keeps what was done to a device: by whom, and from where. */
export function deviceNotes({ access, authGuard }: DeviceNotesDeps) {
  return (request: Request, { kind, device, note = '' }: DeviceEvent): void => {
    const { name: who, address } = authGuard.actorOf(request);
    access.note({ kind, who, whom: device, address, note });
  };
}
