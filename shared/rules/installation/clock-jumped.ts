import { troubleRule } from './trouble.ts';

/** The clock of the machine jumped. */
export const clockJumped = troubleRule({
  id: 'clock-jumped',
  name: 'the clock jumped',
  priority: 'medium',
  respondWithinMin: 240,
  cause: 'Usually a computer without a battery-backed clock, or a wrong time server.',
  consequence: 'Readings received while the clock was wrong may carry the wrong time.',
  action: 'Check the date, the time and the time synchronisation of this computer.',
  clause: { is: 'the clock jumped', was: 'the clock jumped' },
  cleared: 'the clock is steady again',
});
