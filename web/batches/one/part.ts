import type { Batch } from '../../../shared/wire/cuttings/batches.ts';
import type { Edits } from '../undo.tsx';

/** What every part of a batch's page is given. */
export type PartProps = { readonly batch: Batch; readonly edits: Edits };
