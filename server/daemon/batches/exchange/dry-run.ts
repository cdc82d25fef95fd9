import { Fault } from '../../../../shared/faults.ts';
import { commit } from '../../services/orders.ts';
import type { EntryContext } from '../context.ts';

/** Of a dry run all is kept, and taken back by this: so that it is checked by what keeps it. */
const TAKEN_BACK = new Fault({ code: 'bad-request', message: 'This was a dry run.' });

/** Commits work, or takes it back. @throws Fault `store-failed` */
export function committed(isDryRun: boolean, context: EntryContext, work: () => void): void {
  if (!isDryRun) {
    commit(context, work);
    return;
  }
  try {
    commit(context, () => {
      work();
      throw TAKEN_BACK;
    });
  } catch (cause) {
    if (cause !== TAKEN_BACK) throw cause;
  }
}
