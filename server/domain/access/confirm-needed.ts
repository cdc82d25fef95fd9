import { Fault } from '../../../shared/faults.ts';

/** What an order that changes who may is answered with, until the password is given again. */
export function confirmNeeded(): Fault {
  const message =
    'This changes who may do what: give your password again first (POST /api/v1/access/confirm), then repeat it.';
  return new Fault({ code: 'confirm-needed', message });
}
