import { exposuresFrom, sumDays } from '../../server/domain/exposures/exposures.ts';
import { cut } from '../../server/domain/exposures/pieces.ts';
import type { ExposureQuestion } from '../../server/domain/exposures/question.ts';
import { sumPieces } from '../../server/domain/exposures/sum-pieces.ts';
import type { Exposures } from '../../shared/wire/http.ts';

/** What the place was exposed to over a window, in hours, °C·h, kPa·h and mol m⁻², against the targets in force. */
export function exposuresOf(question: ExposureQuestion): Exposures {
  const parts = cut({ fromMs: question.fromMs, toMs: question.toMs, zone: question.timeZone });
  return exposuresFrom({
    ...question,
    days: parts.days,
    sums: sumDays(parts, sumPieces(question, parts.pieces)),
  });
}
