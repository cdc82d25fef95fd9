import { z } from 'zod';
import { devicePatchSchema, newDeviceSchema } from '../model/probes/device.ts';
import { devicesAnswerSchema, newDeviceSchema as newSecretSchema } from '../wire/probes/device.ts';
import { next, paging } from './parameters.ts';
import type { Routes } from './route.ts';

/** Devices and the logins of their own. */
export const DEVICE_ROUTES = {
  'get /api/v1/devices': {
    id: 'listDevices',
    role: 'look',
    summary: 'Devices: login, last seen, status, battery, clock, cadence, losses; and who was turned away',
    query: z.object(paging),
    answer: devicesAnswerSchema.extend(next).meta({ id: 'DevicesPage' }),
  },
  'post /api/v1/devices': {
    id: 'addDevice',
    role: 'own',
    confirmed: true,
    summary: 'Give a device a login of its own; the secret is shown once',
    body: newDeviceSchema,
    answer: newSecretSchema,
    status: 201,
  },
  'patch /api/v1/devices/{device}': {
    id: 'changeDevice',
    role: 'own',
    summary: 'Enable, disable or retire its login',
    body: devicePatchSchema,
  },
  'post /api/v1/devices/{device}/secret': {
    id: 'renewDeviceSecret',
    role: 'own',
    confirmed: true,
    summary: 'Make a new secret, shown once; the old one ends',
    answer: newSecretSchema,
  },
} as const satisfies Routes;
