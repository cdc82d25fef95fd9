import type { DEVICE_ROUTES } from '../../../../shared/routes/devices.ts';
import type { DeviceDesk } from '../../../ports.ts';
import { pageOf } from '../paging.ts';
import type { Handlers } from '../router.ts';

/** /api/v1/devices: what is known of each device, and the logins of their own. */
export function deviceHandlers({
  devices,
}: {
  readonly devices: DeviceDesk;
}): Handlers<typeof DEVICE_ROUTES> {
  return {
    'get /api/v1/devices': ({ query }) => {
      const answer = devices.answer();
      const page = pageOf(answer.devices, query, { keyOf: ({ device }) => device });
      return { ...answer, devices: page.rows, ...page.next };
    },
    'post /api/v1/devices': ({ body, response }) => {
      response.set('cache-control', 'no-store');
      return devices.add(body.device);
    },
    'patch /api/v1/devices/{device}': ({ params, body }) => devices.setState(params.device, body.state),
    'post /api/v1/devices/{device}/secret': ({ params, response }) => {
      response.set('cache-control', 'no-store');
      return devices.rotate(params.device);
    },
  };
}
