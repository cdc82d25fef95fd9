import { troubleRule } from './trouble.ts';

/** A mistake of our own that was survived: what is named is not judged. */
export const monitoringFault = troubleRule({
  id: 'monitoring-fault',
  name: 'part of the monitoring has failed',
  priority: 'high',
  respondWithinMin: 15,
  cause: 'A fault in Strikewell, or a damaged record.',
  consequence: 'What is named here is not being monitored; everything else is.',
  action: 'Check the cuttings there yourself, then restart Strikewell and run "strikewell doctor".',
  clause: { is: 'part of the monitoring has failed', was: 'part of the monitoring had failed' },
  cleared: 'everything is being monitored again',
});
