import type { SaltName } from '../../../shared/climate/salts.ts';
import type { CheckKind, Reference } from '../../../shared/model/probes/check.ts';

/** What to do at a step, and what to take care of. */
type Instructions = {
  readonly title: string;
  readonly steps: readonly string[];
  readonly care: readonly string[];
};

export const KIND_WORDS: Readonly<Record<CheckKind, string>> = {
  ice: 'in melting ice, which is 0 °C (half an hour)',
  salts: 'over salt solutions of known humidity (a night each)',
  beside: 'beside another probe that is trusted (an hour)',
};

const SALT_CARE: Readonly<Record<SaltName, string>> = {
  'lithium chloride':
    'Lithium chloride is harmful when swallowed and irritates skin and eyes: wear gloves and goggles, and label the jar with its name.',
  'magnesium chloride':
    'Magnesium chloride draws water from the air: close its bag, and wash it off skin and metal.',
  'sodium chloride': 'Take pure cooking salt, without iodine or anything against caking.',
  'potassium sulfate': 'Potassium sulfate is a fertiliser: wash hands, and keep the dust out of eyes.',
};

const ELECTRICS =
  'Nothing but the probe and its low-voltage lead goes in: mains, plugs, boards and open joints stay away from water and salt.';

/** What to do at a step of a check, in plain words; what is not the source’s is common practice. */
export function instructionsOf(reference: Reference, names: { probe: string; beside: string }): Instructions {
  if (reference.kind === 'ice') return ICE;
  if (reference.kind === 'salt') return overSalt(reference.salt);
  return {
    title: `Beside ${names.beside}`,
    steps: [
      `Hang ${names.probe} and ${names.beside} side by side, tips a finger apart, in the same air or the same pot.`,
      'Keep sun, mist and draught off both, and leave them for an hour or more.',
      'Were they side by side before, choose that span of the record: nothing has to be waited for.',
    ],
    care: ['The other probe is taken as right here: choose one that was checked itself.'],
  };
}

const ICE: Instructions = {
  title: 'In melting ice',
  steps: [
    'Crush ice until no piece is larger than a pea. Fill a flask or a tall mug with it to the brim.',
    'Pour in cold water until it stands just below the top of the ice, and stir: there is to be far more ice than water.',
    'Put the probe in the middle, a hand deep and touching neither side nor bottom, and wrap the mug in a towel.',
    'As ice melts, pour water off and press ice in, so that the tip never stands in water alone.',
  ],
  care: [
    'Only a sealed probe goes in bare. Put any other in a thin bag, the air pressed out, and keep the water below its opening.',
    ELECTRICS,
  ],
};

function overSalt(salt: SaltName): Instructions {
  return {
    title: `Over ${salt}`,
    steps: [
      `Put a finger of ${salt} into a small glass jar with a tight lid, and water drop by drop until it is a wet slush. Salt must be left that does not dissolve.`,
      'Hang the probe in the air above it, so that it touches neither salt nor glass, and close the jar tightly around its lead.',
      'Stand the jar in a box in a room that keeps its temperature: no sun, no heat mat, no hand on it. One kelvin between probe and salt is some 4 %RH at 75 %RH.',
      'Leave it for a night. Four hours are the least that is taken, and the last of them must be at rest.',
    ],
    care: [
      SALT_CARE[salt],
      'A probe that was splashed with salt is spoilt: take the jar out level, and never tip it.',
      'Keep jar and salt away from food and children.',
      ELECTRICS,
    ],
  };
}
