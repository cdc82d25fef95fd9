import type { DEVICE_ROUTES } from '../../../../shared/routes/devices.ts';
import type { DeviceService } from '../../../ports.ts';
import { type DeviceNotesDeps, deviceNotes } from '../device-notes.ts';
import { pageOf } from '../paging.ts';
import type { Handlers } from '../router.ts';

type DeviceRouteDeps = DeviceNotesDeps & { readonly devices: DeviceService };

/** /api/v1/devices: what is known of each device, and the logins of their own. */
export function deviceHandlers({ devices, ...notes }: DeviceRouteDeps): Handlers<typeof DEVICE_ROUTES> {
  const keep = deviceNotes(notes);
  return {
    'get /api/v1/devices': ({ query }) => {
      const answer = devices.answer();
      const page = pageOf(answer.devices, query, { keyOf: ({ device }) => device });
      return { ...answer, devices: page.rows, ...page.next };
    },
    'post /api/v1/devices': ({ body: { device }, request, response }) => {
      const made = devices.add(device);
      keep(request, { kind: 'device-added', device });
      response.set('cache-control', 'no-store');
      return made;
    },
    'patch /api/v1/devices/{device}': ({ params: { device }, body: { state }, request }) => {
      devices.setState(device, state);
      keep(request, { kind: 'device-state', device, note: state });
    },
    'post /api/v1/devices/{device}/secret': ({ params: { device }, request, response }) => {
      const made = devices.rotate(device);
      keep(request, { kind: 'device-secret', device });
      response.set('cache-control', 'no-store');
      return made;
    },
  };
}
