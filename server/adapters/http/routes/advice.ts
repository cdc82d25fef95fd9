import type { ADVICE_ROUTES } from '../../../../shared/routes/cuttings/advice.ts';
import type { Queries } from '../../../ports.ts';
import { inTurns } from '../in-turns.ts';
import type { Handlers } from '../router.ts';
import { spanOf } from './places.ts';

/** A week of record, where nobody says otherwise. */
const USUAL_DAYS = 7;
/** Of a common shade cloth. */
const USUAL_TRANSMISSION = 0.5;

/** What the record of a place advises. */
export function adviceHandlers({ queries }: { readonly queries: Queries }): Handlers<typeof ADVICE_ROUTES> {
  return {
    'get /api/v1/places/{id}/mist-advice': ({ params: { id }, query: { days = USUAL_DAYS }, response }) =>
      inTurns(queries.mistAdvice(id, { days }), response),
    'get /api/v1/places/{id}/would-have-helped': ({ params: { id }, query, response }) => {
      const { what, transmission = USUAL_TRANSMISSION } = query;
      return inTurns(queries.wouldHaveHelped(id, { what, transmission }), response);
    },
    'get /api/v1/places/{id}/heat-paid': ({ params: { id }, query, response }) =>
      inTurns(queries.heatPaid(id, { ...spanOf(query), ratedW: query.ratedW ?? null }), response),
  };
}
