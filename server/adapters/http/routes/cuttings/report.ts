import type { REPORT_ROUTES } from '../../../../../shared/routes/cuttings/report.ts';
import type { BatchService } from '../../../../ports.ts';
import type { Handlers } from '../../router.ts';

/** What happened to a batch, as JSON or as CSV. */
export function reportHandlers({
  batches,
}: {
  readonly batches: BatchService;
}): Handlers<typeof REPORT_ROUTES> {
  return {
    'get /api/v1/batches/{id}/report': async ({ params: { id }, query, request, response }) => {
      const asCsv = (query.format ?? request.accepts(['json', 'csv'])) === 'csv';
      response.vary('Accept');
      if (!asCsv) return void response.json(await batches.report(id));
      const text = await batches.reportCsv(id);
      response.setHeader('content-type', 'text/csv; charset=utf-8');
      response.setHeader('content-disposition', `attachment; filename="batch-${id}-report.csv"`);
      response.end(text);
    },
  };
}
