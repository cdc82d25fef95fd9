import { addressOf, spanQuery } from '../api.ts';
import type { View } from '../common/plot.ts';
import { momentWords } from '../common/time.ts';
import { reader } from '../state.ts';

type ExportProps = { readonly placeId: string; readonly view: View };

/** Files of the span in view: readings as the probes reported them, and what was counted of them. */
export function ExportLinks({ placeId, view }: ExportProps) {
  const params = { id: placeId };
  const span = spanQuery(view);
  const moment = (atMs: number) => momentWords({ atMs, ...reader.value });
  return (
    <p class="exports">
      Export {moment(view.fromMs)} to {moment(view.toMs)}:{' '}
      <a href={addressOf('exportPlace', { params, query: { what: 'readings', ...span } })} download="">
        readings (CSV)
      </a>
      <a
        href={addressOf('exportPlace', { params, query: { what: 'readings', as: 'ndjson', ...span } })}
        download=""
      >
        readings (NDJSON)
      </a>
      <a
        href={addressOf('exportPlace', { params, query: { what: 'exposures', by: 'hour', ...span } })}
        download=""
      >
        hours and degree-hours (CSV)
      </a>
      <a href={addressOf('exportPlace', { params, query: { what: 'alarms', ...span } })} download="">
        alarms (CSV)
      </a>
      <a href={addressOf('exportPlace', { params, query: { what: 'diary', ...span } })} download="">
        diary (CSV)
      </a>
      <a
        href={addressOf('exportPlace', { params, query: { what: 'batches', as: 'ndjson', ...span } })}
        download=""
      >
        batches (NDJSON)
      </a>
    </p>
  );
}
