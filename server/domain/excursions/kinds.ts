import type { HarmKind } from '../../../shared/harm/scale.ts';
import { bandAt } from '../../../shared/model/target-band.ts';
import { harmLimitAt } from '../../../shared/rules/harm.ts';
import type { Moment } from '../../../shared/rules/rules.ts';
import type { ExcursionKind } from '../../../shared/wire/places/night.ts';
import { dayShareAt } from '../calendar/ramp.ts';
import type { TargetSpan } from '../calendar/spans.ts';
import type { HarmCurves } from '../harm/harm-in.ts';
import type { LimitLine } from './stretches.ts';

/** Kinds that are read off a course and a limit; the others are about water, and about what was not seen. */
export const COURSE_KINDS = [
  'air-over-ceiling',
  'air-above-band',
  'air-below-band',
  'air-far-too-cold',
  'root-zone-over-ceiling',
  'root-zone-above-band',
  'root-zone-below-band',
  'vpd-above-band',
] as const satisfies readonly ExcursionKind[];
export type CourseKind = (typeof COURSE_KINDS)[number];

type Limit = { readonly limit: number; readonly yieldsAt?: number };

type Kind = {
  readonly from: keyof HarmCurves;
  readonly side: 1 | -1;
  /** how harm counts it; null where it does none by itself */
  readonly harm: HarmKind | null;
  readonly limitAt: (moment: Omit<Moment, 'light'>) => Limit;
};

/** A limit of harm that always holds. */
function held(kind: HarmKind, moment: Omit<Moment, 'light'>): number {
  return harmLimitAt(kind, moment)?.limit ?? Number.NaN;
}

/** What each kind is read from and beyond which limit; a hard limit takes the place of the band from itself on. */
export const COURSES: Readonly<Record<CourseKind, Kind>> = {
  'air-over-ceiling': {
    from: 'air',
    side: 1,
    harm: 'air-over-ceiling',
    limitAt: ({ targets }) => ({ limit: targets.air.ceilingC }),
  },
  'air-above-band': {
    from: 'air',
    side: 1,
    harm: null,
    limitAt: (moment) => ({ limit: bandAt(moment, 'air').highC, yieldsAt: moment.targets.air.ceilingC }),
  },
  'air-below-band': {
    from: 'air',
    side: -1,
    harm: 'air-below-band',
    limitAt: (moment) => ({
      limit: bandAt(moment, 'air').lowC,
      yieldsAt: held('air-far-too-cold', moment),
    }),
  },
  'air-far-too-cold': {
    from: 'air',
    side: -1,
    harm: 'air-far-too-cold',
    limitAt: (moment) => ({ limit: held('air-far-too-cold', moment) }),
  },
  'root-zone-over-ceiling': {
    from: 'rootZone',
    side: 1,
    harm: 'root-zone-over-ceiling',
    limitAt: (moment) => ({ limit: held('root-zone-over-ceiling', moment) }),
  },
  'root-zone-above-band': {
    from: 'rootZone',
    side: 1,
    harm: null,
    limitAt: (moment) => ({
      limit: bandAt(moment, 'rootZone').highC,
      yieldsAt: held('root-zone-over-ceiling', moment),
    }),
  },
  'root-zone-below-band': {
    from: 'rootZone',
    side: -1,
    harm: 'root-zone-below-band',
    limitAt: (moment) => ({ limit: bandAt(moment, 'rootZone').lowC }),
  },
  'vpd-above-band': {
    from: 'vpd',
    side: 1,
    harm: 'vpd-above-band',
    limitAt: ({ targets }) => ({ limit: targets.vpd.highKpa }),
  },
};

/** The limit of a kind over a stretch in which bands stand, or move in one straight line. */
export function limitLineOf(kind: CourseKind, span: TargetSpan): LimitLine {
  const { side, limitAt } = COURSES[kind];
  const { fromMs, toMs } = span;
  const at = (tMs: number) => limitAt({ ...span, dayShare: dayShareAt(span, tMs) });
  const [start, end] = [at(fromMs), at(toMs)];
  const line = { fromMs, toMs, side, limit: start.limit, limitAtEnd: end.limit };
  if (start.yieldsAt === undefined) return line;
  return { ...line, yieldsAt: start.yieldsAt, yieldsAtEnd: end.yieldsAt ?? start.yieldsAt };
}
