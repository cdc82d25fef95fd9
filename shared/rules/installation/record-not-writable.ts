import { troubleRule } from './trouble.ts';

/** The record cannot be written: disk full, read-only or failing. */
export const recordNotWritable = troubleRule({
  id: 'record-not-writable',
  name: 'the record cannot be written',
  priority: 'high',
  respondWithinMin: 60,
  cause: 'Usually the disk is full, read-only or failing.',
  consequence: 'New readings are not saved. Alarms are judged from memory until it can be written again.',
  action: 'Free disk space or check the disk. "strikewell doctor" shows what is wrong.',
  clause: { is: 'readings are not saved', was: 'readings could not be saved for a while' },
  cleared: 'the record can be written again',
});
