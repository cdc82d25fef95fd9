import { troubleRule } from './trouble.ts';

/** A restore that did not bring everything. */
export const restoreIncomplete = troubleRule({
  id: 'restore-incomplete',
  name: 'the restore is incomplete',
  priority: 'medium',
  respondWithinMin: 240,
  cause: 'The backup did not hold everything this installation uses.',
  consequence: 'People named here are not notified until they are set up again.',
  action: 'Set up each entry again, then send a test message.',
  clause: { is: 'restore incomplete', was: 'the restore was incomplete' },
  cleared: 'the restore is complete',
});
