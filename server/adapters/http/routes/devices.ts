import { type Request, Router } from 'express';
import { devicePatchSchema, newDeviceSchema } from '../../../../shared/model/device.ts';
import type { Access, DeviceDesk, NewAccessEvent } from '../../../ports.ts';
import type { Doorkeeper } from '../doorkeeper.ts';
import { readBody } from './read.ts';

type DeviceRouteDeps = {
  readonly devices: DeviceDesk;
  readonly access: Access;
  readonly doorkeeper: Doorkeeper;
};

/** /api/v1/devices: what is known of each device, and the logins of their own. */
export function deviceRoutes({ devices, access, doorkeeper }: DeviceRouteDeps): Router {
  const routes = Router();
  const keep = (request: Request, event: Pick<NewAccessEvent, 'kind' | 'whom' | 'note'>) => {
    const { name: who, address } = doorkeeper.actorOf(request);
    access.note({ ...event, who, address });
  };
  routes.get('/', (_request, response) => void response.json(devices.answer()));
  routes.post('/', (request, response) => {
    const { device } = readBody(newDeviceSchema, request.body);
    const made = devices.add(device);
    keep(request, { kind: 'device-added', whom: device });
    response.status(201).set('cache-control', 'no-store').json(made);
  });
  routes.patch('/:device', (request, response) => {
    const { device } = request.params;
    const { state } = readBody(devicePatchSchema, request.body);
    devices.setState(device, state);
    keep(request, { kind: 'device-state', whom: device, note: state });
    response.status(204).end();
  });
  routes.post('/:device/secret', (request, response) => {
    const made = devices.rotate(request.params.device);
    keep(request, { kind: 'device-secret', whom: request.params.device });
    response.set('cache-control', 'no-store').json(made);
  });
  return routes;
}
