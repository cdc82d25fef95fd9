import { devicePatchSchema, newDeviceSchema } from '../../../shared/model/device.ts';
import { deletes } from './openapi-lifecycle.ts';
import { act, confirmed, get, type Json, schemaOf } from './openapi-parts.ts';

const device = { name: 'device', in: 'path', required: true, schema: { type: 'string' } };

/** Devices and the logins of their own. */
export const devicePaths: Json = {
  '/api/v1/devices': {
    get: get('Devices: login, last seen, status, battery, clock, cadence, losses; and who was turned away'),
    post: confirmed(
      act('Give a device a login of its own; the secret is shown once', schemaOf(newDeviceSchema), 201),
    ),
  },
  '/api/v1/devices/{device}': {
    parameters: [device],
    patch: act('Enable, disable or retire its login', schemaOf(devicePatchSchema), 204),
    delete: deletes.device,
  },
  '/api/v1/devices/{device}/secret': {
    parameters: [device],
    post: confirmed(act('Make a new secret, shown once; the old one ends', null)),
  },
};
