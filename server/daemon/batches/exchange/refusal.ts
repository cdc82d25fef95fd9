import { Fault } from '../../../../shared/faults.ts';

/** Why an item of a file is not taken. */
export function refusal(message: string): Fault {
  return new Fault({ code: 'bad-request', message });
}

/** The words of a fault that is one of the file. @throws whatever else was thrown, and Fault `store-failed` */
export function asRefusal(cause: unknown): string {
  if (cause instanceof Fault && cause.code !== 'store-failed') return cause.message;
  throw cause;
}
