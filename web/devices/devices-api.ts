import type { DeviceState } from '../../shared/model/probes/device.ts';
import type { DevicesAnswer, NewDevice } from '../../shared/wire/probes/device.ts';
import { ask } from '../api.ts';

const send = <T>(method: string, path: string, body: unknown = {}) =>
  ask<T>(path, { method, body: JSON.stringify(body) });
const devicePath = (device: string) => `/devices/${encodeURIComponent(device)}`;

/** Questions and orders about devices, over HTTP. Each throws ApiError. */
export const devicesApi = {
  all: () => ask<DevicesAnswer>('/devices'),
  add: (device: string) => send<NewDevice>('POST', '/devices', { device }),
  newSecret: (device: string) => send<NewDevice>('POST', `${devicePath(device)}/secret`),
  setState: (device: string, state: DeviceState) => send<unknown>('PATCH', devicePath(device), { state }),
};
