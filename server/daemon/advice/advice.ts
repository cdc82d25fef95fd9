import type { Parts, Queries } from '../../ports.ts';
import type { QueryContext } from '../readout/present.ts';
import { requirePlace } from '../readout/queries.ts';
import { heatPaid } from './heat.ts';
import { mistAdvice } from './mist.ts';
import { wouldHaveHelped } from './would-have-helped.ts';

type Advice = Pick<Queries, 'mistAdvice' | 'wouldHaveHelped' | 'heatPaid'>;

/** What the record of a place advises, made in parts; nothing is switched by it. */
export function createAdvice(context: QueryContext): Advice {
  const of =
    <Query, Answer>(
      make: (place: ReturnType<typeof requirePlace>, query: Query, of: QueryContext) => Parts<Answer>,
    ) =>
    (placeId: string, query: Query) =>
      make(requirePlace(context.world, placeId), query, context);
  return { mistAdvice: of(mistAdvice), wouldHaveHelped: of(wouldHaveHelped), heatPaid: of(heatPaid) };
}
