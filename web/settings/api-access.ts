import type { Role } from '../../shared/model/people/roles.ts';
import type {
  AccessAnswer,
  AccessEventsAnswer,
  Account,
  DeviceLogin,
  NewDeviceLogin,
  PasskeyOffer,
  PasskeyRow,
  PasskeyStep,
  SessionRow,
} from '../../shared/wire/access.ts';
import { ask } from '../api.ts';

const send = <T>(method: string, path: string, body: unknown = {}): Promise<T> =>
  ask<T>(`/access${path}`, { method, body: JSON.stringify(body) });

/** The questions and orders about who may come in. Each throws ApiError. */
export const accessApi = {
  who: () => ask<AccessAnswer>('/access'),
  setOwner: (password: string) => send<AccessAnswer>('PUT', '/owner', { password }),
  signIn: (tried: { name: string; password: string }) =>
    send<AccessAnswer | PasskeyStep>('POST', '/sign-in', tried),
  signInWithPasskey: (tried: { ticket: string; credential: object }) =>
    send<AccessAnswer>('POST', '/sign-in/passkey', tried),
  confirm: (password: string) => send<unknown>('POST', '/confirm', { password }),
  passwordProblem: async (chosen: { password: string; name?: string }) =>
    (await send<{ problem: string | null }>('POST', '/password-check', chosen)).problem,
  signOut: () => send<AccessAnswer>('POST', '/sign-out'),
  changePassword: (order: { current: string; password: string }) => send<unknown>('PUT', '/password', order),
  sessions: async () => (await ask<{ sessions: readonly SessionRow[] }>('/access/sessions')).sessions,
  endSession: (id: number) => ask<unknown>(`/access/sessions/${id}`, { method: 'DELETE' }),
  accounts: async () => (await ask<{ accounts: readonly Account[] }>('/access/accounts')).accounts,
  addAccount: (account: { name: string; role: Role; password: string }) =>
    send<Account>('POST', '/accounts', account),
  giveRole: (id: number, role: Role) => send<Account>('PATCH', `/accounts/${id}`, { role }),
  removeAccount: (id: number) => ask<unknown>(`/access/accounts/${id}`, { method: 'DELETE' }),
  passkeys: async () => (await ask<{ passkeys: readonly PasskeyRow[] }>('/access/passkeys')).passkeys,
  offerPasskey: () => send<PasskeyOffer>('POST', '/passkeys/offer'),
  addPasskey: (made: { ticket: string; name: string; credential: object }) =>
    send<PasskeyRow>('POST', '/passkeys', made),
  removePasskey: (id: number) => ask<unknown>(`/access/passkeys/${id}`, { method: 'DELETE' }),
  events: (cursor: string | null) =>
    ask<AccessEventsAnswer>(`/access/events${cursor === null ? '' : `?cursor=${cursor}`}`),
  deviceLogin: async () =>
    (await ask<{ deviceLogin: DeviceLogin | null }>('/access/device-login')).deviceLogin,
  makeDeviceLogin: (name: string) => send<NewDeviceLogin>('PUT', '/device-login', { name }),
};
