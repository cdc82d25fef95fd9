import { Router } from 'express';
import { devicePatchSchema, newDeviceSchema } from '../../../../shared/model/device.ts';
import type { DeviceDesk } from '../../../ports.ts';
import { type DeviceNotesDeps, deviceNotes } from '../device-notes.ts';
import { readBody } from './read.ts';

type DeviceRouteDeps = DeviceNotesDeps & { readonly devices: DeviceDesk };

/** /api/v1/devices: what is known of each device, and the logins of their own. */
export function deviceRoutes({ devices, ...notes }: DeviceRouteDeps): Router {
  const routes = Router();
  const keep = deviceNotes(notes);
  routes.get('/', (_request, response) => void response.json(devices.answer()));
  routes.post('/', (request, response) => {
    const { device } = readBody(newDeviceSchema, request.body);
    const made = devices.add(device);
    keep(request, { kind: 'device-added', device });
    response.status(201).set('cache-control', 'no-store').json(made);
  });
  routes.patch('/:device', (request, response) => {
    const { device } = request.params;
    const { state } = readBody(devicePatchSchema, request.body);
    devices.setState(device, state);
    keep(request, { kind: 'device-state', device, note: state });
    response.status(204).end();
  });
  routes.post('/:device/secret', (request, response) => {
    const made = devices.rotate(request.params.device);
    keep(request, { kind: 'device-secret', device: request.params.device });
    response.set('cache-control', 'no-store').json(made);
  });
  return routes;
}
