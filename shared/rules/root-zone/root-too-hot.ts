import { bandAt } from '../../model/target-band.ts';
import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS, MINUTE_MS } from '../rule.ts';

/** Default, adjust: above this most roots stop or brown, °C; the starting sheets’ figure. */
const ROOT_CEILING_C = 30;
/** A band that reaches higher moves the ceiling with it, K above its top. Proposal. */
const OVER_BAND_K = 2;

/** A root zone so hot that new roots brown. */
export const rootTooHot = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'root-too-hot',
  name: 'root zone too hot',
  measured: 'root zone',
  priority: 'high',
  respondWithinMin: 60,
  harm: 'root-zone-over-ceiling',
  group: null,
  fromFirst: true,
  cause:
    'Usually the thermostat’s own probe has come out of the medium, or the room is hot as well as the mat.',
  consequence: 'New roots brown and die within hours.',
  action: 'Unplug the mat, lift the tray off it, then water with tepid water.',
  unit: 'Cel',
  sense: 'above',
  deadband: 0.3,
  onDelayMs: 2 * MINUTE_MS,
  watches: { each: 'probe', quantities: ['root/temperature'] },
  limitAt: (moment) =>
    moment.targets.alarms?.rootZoneCeilingC ??
    Math.max(ROOT_CEILING_C, bandAt(moment, 'rootZone').highC + OVER_BAND_K),
  range: { min: 20, max: 40, step: 0.1, begin: 30 },
  clause: { is: 'root zone too hot', was: 'root zone was too hot' },
  active: ({ value, far, lasts, trend }) => `root zone ${value}, ${far} above its ceiling${lasts}${trend}`,
  cleared: 'the root zone is no longer too hot',
});
