import { troubleRule } from './trouble.ts';

/** A message that could not be stored by itself. */
export const messageSetAside = troubleRule({
  id: 'message-set-aside',
  name: 'a message could not be stored',
  priority: 'medium',
  respondWithinMin: 240,
  cause: 'A fault in Strikewell, or a damaged record.',
  consequence: 'The readings in that message are missing from the record.',
  action: 'Find it among the rejected messages under Probes, then run "strikewell doctor".',
  clause: { is: 'a message could not be stored', was: 'a message could not be stored' },
  cleared: 'no more messages had to be set aside',
});
