import { Router } from 'express';
import { devicePatchSchema, newDeviceSchema } from '../../../../shared/model/device.ts';
import type { DeviceDesk } from '../../../ports.ts';
import { readBody } from './read.ts';

/** /api/v1/devices: what is known of each device, and the logins of their own. */
export function deviceRoutes({ devices }: { readonly devices: DeviceDesk }): Router {
  const routes = Router();
  routes.get('/', (_request, response) => void response.json(devices.answer()));
  routes.post('/', ({ body }, response) => {
    const { device } = readBody(newDeviceSchema, body);
    response.status(201).set('cache-control', 'no-store').json(devices.add(device));
  });
  routes.patch('/:device', ({ params, body }, response) => {
    devices.setState(params.device, readBody(devicePatchSchema, body).state);
    response.status(204).end();
  });
  routes.post('/:device/secret', ({ params }, response) => {
    response.set('cache-control', 'no-store').json(devices.rotate(params.device));
  });
  return routes;
}
