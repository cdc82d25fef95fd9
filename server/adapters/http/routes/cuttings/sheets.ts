import type { SHEET_ROUTES } from '../../../../../shared/routes/cuttings/sheets.ts';
import type { SheetService } from '../../../../ports.ts';
import type { Handlers } from '../../router.ts';

/** /api/v1/sheets. */
export function sheetHandlers({ sheets }: { readonly sheets: SheetService }): Handlers<typeof SHEET_ROUTES> {
  return {
    'get /api/v1/sheets': () => ({ sheets: sheets.list() }),
    'get /api/v1/sheets/{id}': ({ params, query }) => sheets.sheet(params.id, query.version),
    'post /api/v1/sheets': ({ body }) => sheets.add(body),
    'put /api/v1/sheets/{id}': ({ params, body }) => sheets.change(params.id, body),
    'delete /api/v1/sheets/{id}': ({ params }) => sheets.remove(params.id),
    'post /api/v1/sheets/{id}/restore': ({ params }) => sheets.restore(params.id),
  };
}
