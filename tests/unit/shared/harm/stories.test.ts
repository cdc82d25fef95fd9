import { describe, expect, it } from 'vitest';
import { byUrgency } from '../../../../shared/harm/place-state.ts';
import { outcomeOf, type Story } from './story.ts';

/**
 * Short stories, worst first. What a grower would say of state and waking was written before the code; the order among
 * those with about an hour left follows from the minutes.
 */
const STORIES: readonly Story[] = [
  {
    what: 'a dome that was at 45 °C for 40 minutes, still at 38',
    past: { 'air-over-ceiling': [45, 0.7] },
    now: { 'air-over-ceiling': 38 },
    active: ['air-over-ceiling'],
    state: 'act',
    wake: true,
    why: 'no minutes are left; whatever is still alive needs shade now',
  },
  {
    what: 'a dome at 45 °C for ten minutes, nobody has answered',
    past: { 'air-over-ceiling': [45, 1 / 6] },
    now: { 'air-over-ceiling': 45 },
    active: ['air-over-ceiling', 'air-far-over-ceiling'],
    state: 'act',
    wake: true,
    why: 'the batch is lost within minutes',
  },
  {
    what: 'VPD 1.3 kPa in full light, mist has stopped',
    past: { 'vpd-above-band': [1.3, 0.25] },
    now: { 'vpd-above-band': 1.3 },
    active: ['vpd-above-band-in-light'],
    state: 'act',
    wake: true,
    why: 'leaves wilt within the hour',
  },
  {
    what: 'frost in the frame, −2 °C',
    now: { 'air-far-too-cold': -2 },
    active: ['air-below-band-at-night'],
    state: 'act',
    wake: true,
    why: 'below 0 °C tender cuttings freeze within the hour',
  },
  {
    what: 'VPD 1.1 kPa in light for a quarter of an hour',
    past: { 'vpd-above-band': [1.1, 0.25] },
    now: { 'vpd-above-band': 1.1 },
    active: ['vpd-above-band-in-light'],
    state: 'act',
    wake: true,
    why: 'under an hour is left',
  },
  {
    what: 'root zone at 33 °C, the thermostat’s probe has come out',
    past: { 'root-zone-over-ceiling': [33, 0.5] },
    now: { 'root-zone-over-ceiling': 33 },
    active: ['root-too-hot'],
    state: 'act',
    wake: true,
    why: 'new roots brown within hours',
  },
  {
    what: '5.6 K over the ceiling, acknowledged',
    past: { 'air-over-ceiling': [32.3, 0.3] },
    now: { 'air-over-ceiling': 32.3 },
    active: ['air-over-ceiling'],
    answered: true,
    state: 'act',
    wake: true,
    why: 'an acknowledgement cools nothing',
  },
  {
    what: 'air at 4 °C since two hours, the heater is out',
    past: { 'air-far-too-cold': [4, 2] },
    now: { 'air-far-too-cold': 4 },
    active: ['air-below-band-at-night'],
    state: 'act',
    wake: true,
    why: 'chilled tissue does not recover; an hour is left',
  },
  {
    what: 'air 1 K over the ceiling, its delay is over',
    past: { 'air-over-ceiling': [27.7, 0.1] },
    now: { 'air-over-ceiling': 27.7 },
    active: ['air-over-ceiling'],
    state: 'act',
    wake: true,
    why: 'the sun has just come on it: it will not stay at 1 K',
  },
  {
    what: 'root zone 12 °C in the middle of the night, mat dead for four hours, six to go',
    past: { 'root-zone-below-band': [12, 4] },
    now: { 'root-zone-below-band': 12 },
    active: ['root-below-band'],
    hoursToDay: 6,
    state: 'act',
    wake: true,
    why: 'the night would cost a third of a day and more; the cuttings live',
  },
  {
    what: 'root zone 15 °C just after the mat died, ten hours of night to go',
    past: { 'root-zone-below-band': [15, 0.5] },
    now: { 'root-zone-below-band': 15 },
    active: ['root-below-band'],
    hoursToDay: 10,
    state: 'watch',
    wake: true,
    why: 'kept up, the night costs a quarter of a day',
  },
  {
    what: 'air 14 °C under a day band from 18',
    past: { 'air-below-band': [14, 2] },
    now: { 'air-below-band': 14 },
    state: 'watch',
    wake: false,
    why: 'time is lost, slowly',
  },
  {
    what: 'root zone 2 K too cool by day',
    past: { 'root-zone-below-band': [19, 3] },
    now: { 'root-zone-below-band': 19 },
    active: ['root-below-band'],
    state: 'watch',
    wake: false,
    why: 'time is lost, slowly',
  },
  {
    what: 'root zone 2 K too cool by night, three hours to go',
    past: { 'root-zone-below-band': [19, 2] },
    now: { 'root-zone-below-band': 19 },
    active: ['root-below-band'],
    hoursToDay: 3,
    state: 'watch',
    wake: false,
    why: 'an hour of rooting is lost: the morning will do',
  },
  {
    what: 'dome was at 45 °C this afternoon, is at 24 now',
    past: { 'air-over-ceiling': [45, 0.5] },
    state: 'watch',
    wake: false,
    why: 'it may be lost: somebody should look at the leaves, and nothing is to be stopped now',
  },
  {
    what: 'air 13 min at 33 °C, three minutes ago',
    past: { 'air-over-ceiling': [33, 13 / 60] },
    state: 'watch',
    wake: false,
    why: '“nothing to do” would be a lie',
  },
  {
    what: '4.9 h a little below the band, well now',
    past: { 'root-zone-below-band': [18, 4.9] },
    state: 'watch',
    wake: false,
    why: 'it is worth a word in the morning',
  },
  {
    what: 'root zone 14 °C·h below its band last night, well now',
    past: { 'root-zone-below-band': [19, 7] },
    state: 'watch',
    wake: false,
    why: 'an hour and a half of rooting was lost',
  },
];

/** Stories whose order among themselves means nothing: what cannot be seen, and what is well. */
const OTHERS: readonly Story[] = [
  {
    what: 'the only air probe has stopped',
    blindTo: ['heat'],
    active: ['probe-silent'],
    state: 'act',
    wake: false,
    why: 'nobody would see the heat; its alarm is of high priority by what it leaves unjudged',
  },
  {
    what: 'a whole place silent past its time',
    active: ['no-data'],
    whole: true,
    blindTo: ['heat', 'dryness'],
    state: 'act',
    wake: true,
    why: 'it is not known how it does',
  },
  {
    what: 'humidity has stopped, temperature goes on',
    blindTo: ['dryness'],
    active: ['probe-silent'],
    state: 'watch',
    wake: false,
    why: 'dryness cannot be judged, heat can',
  },
  {
    what: 'the root probe has stopped',
    blindTo: ['root-zone'],
    state: 'watch',
    wake: false,
    why: 'the mat may be dead',
  },
  {
    what: 'a mist line cannot be judged in light',
    blindTo: ['mist'],
    state: 'act',
    wake: false,
    why: 'leaves dry within minutes',
  },
  {
    what: 'no air probe was ever there, the root zone is in its band',
    blindTo: ['heat-unmeasured'],
    state: 'watch',
    wake: false,
    why: 'heat is not watched: that is not “well”',
  },
  {
    what: 'nothing was read for an hour last night, all in band now',
    wasBlind: true,
    state: 'watch',
    wake: false,
    why: 'it is not known what happened then',
  },
  { what: 'all in band all day', state: 'ok', wake: false, why: 'nothing to do' },
  {
    what: 'saturated all night, as it should be',
    state: 'ok',
    wake: false,
    why: 'a dome is meant to be wet',
  },
  {
    what: 'air above its band, below its ceiling',
    outOfBand: true,
    state: 'watch',
    wake: false,
    why: 'the ceiling is near',
  },
  {
    what: 'air 0.4 K over the ceiling for ten seconds',
    now: { 'air-over-ceiling': 27.1 },
    state: 'watch',
    wake: false,
    why: 'the delay still runs',
  },
  {
    what: 'air over its ceiling by 0.2 K for ten minutes this morning',
    past: { 'air-over-ceiling': [26.9, 1 / 6] },
    state: 'ok',
    wake: false,
    why: 'too little to be worth a word',
  },
  {
    what: 'a cold night, and now a breath of air over its ceiling',
    past: { 'root-zone-below-band': [16, 12] },
    now: { 'air-over-ceiling': 26.8 },
    state: 'watch',
    wake: false,
    why: 'what the cold cost does not make this breath urgent',
  },
  {
    what: 'an alarm that waits for its limit to be judged again',
    active: ['air-below-band-at-night'],
    state: 'watch',
    wake: false,
    why: 'it had not recovered',
  },
];

describe('short stories', () => {
  it.each([...STORIES, ...OTHERS])('$what: $state, wakes somebody: $wake ($why)', (story) => {
    const { state, wake } = outcomeOf(story);
    expect({ state, wake }).toEqual({ state: story.state, wake: story.wake });
  });

  it('are put in the order in which a grower would go to them', () => {
    const shuffled = [...STORIES].reverse().sort((a, b) => byUrgency(outcomeOf(a), outcomeOf(b)));
    expect(shuffled.map(({ what }) => what)).toEqual(STORIES.map(({ what }) => what));
  });

  it('are thirty-two', () => {
    expect(STORIES.length + OTHERS.length).toBe(32);
  });
});
