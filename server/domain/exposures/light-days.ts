import type { Targets } from '../../../shared/model/targets.ts';
import type { Exposures } from '../../../shared/wire/http.ts';
import type { LightDay } from '../../../shared/wire/places/light.ts';
import { localDays } from '../calendar/days.ts';

type LightSpan = {
  /** ms since epoch */
  readonly fromMs: number;
  readonly toMs: number;
  /** IANA time zone */
  readonly zone: string;
  /** what light was wanted at an instant */
  readonly wantedAt: (atMs: number) => Targets['light'];
};

/**
 * The light of local days against what the targets of their noon want.
 * @param days light sums by local day, mol m⁻², as exposures have them; those without a covered hour are left out
 * @returns in the order of time
 */
export function lightDays(
  days: Exposures['light']['days'],
  { fromMs, toMs, zone, wantedAt }: LightSpan,
): LightDay[] {
  if (fromMs >= toMs) return [];
  const spans = new Map(localDays({ fromMs, toMs, zone }).map((day) => [day.date, day]));
  return days.flatMap(({ date, dliMolM2, coveredHours }): LightDay[] => {
    const day = spans.get(date);
    if (day === undefined || coveredHours === 0) return [];
    const wanted = wantedAt((day.fromMs + day.toMs) / 2);
    return [
      {
        date,
        from: new Date(day.fromMs).toISOString(),
        to: new Date(day.toMs).toISOString(),
        dliMolM2,
        coveredHours,
        wantedLowMolM2: wanted?.dailyLowMol ?? null,
        wantedHighMolM2: wanted?.dailyHighMol ?? null,
      },
    ];
  });
}
