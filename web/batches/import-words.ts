import type { CuttingsFileImport } from '../../shared/wire/cuttings/import.ts';

const counted = (n: number, one: string, many: string) => `${n} ${n === 1 ? one : many}`;

type Sums = Omit<CuttingsFileImport, 'refused' | 'refusedInAll' | 'notes'>;

/** What was added, or would be: `2 batches and 1 sheet would be added.` */
export function importWords({ dryRun, ...sums }: Sums): string {
  const { batches, preparations, sheets, entries, photos } = sums;
  const found = [
    ...(batches > 0 ? [counted(batches, 'batch', 'batches')] : []),
    ...(preparations > 0 ? [counted(preparations, 'plan', 'plans')] : []),
    ...(sheets > 0 ? [counted(sheets, 'sheet', 'sheets')] : []),
    ...(entries > 0 ? [counted(entries, 'diary entry', 'diary entries')] : []),
  ];
  if (found.length === 0) return dryRun ? 'Nothing of it would be added.' : 'Nothing was added.';
  const last = found.at(-1) ?? '';
  const list = found.length === 1 ? last : `${found.slice(0, -1).join(', ')} and ${last}`;
  const what = photos === 0 ? list : `${list}, with ${counted(photos, 'photo', 'photos')},`;
  return dryRun ? `${what} would be added.` : `Added: ${what.replace(/,$/, '')}.`;
}

/** Whether a dry run found anything to add. */
export function hasAny({ batches, preparations, sheets, entries }: Omit<Sums, 'dryRun'>): boolean {
  return batches + preparations + sheets + entries > 0;
}

const KINDS: Readonly<Record<CuttingsFileImport['refused'][number]['what'], string>> = {
  batch: 'Batch',
  preparation: 'Plan',
  sheet: 'Sheet',
  entry: 'Diary entry',
  line: 'Line',
};

/** Why each was refused: `Batch 3 (Coleus): There is no place "sill".` */
export function refusedWords({
  refused,
  refusedInAll,
}: Pick<CuttingsFileImport, 'refused' | 'refusedInAll'>): string[] {
  const listed = refused.map(({ what, nth, name, reason }) => {
    return `${KINDS[what]} ${nth}${name === null ? '' : ` (${name})`}: ${reason}`;
  });
  const more = refusedInAll - refused.length;
  return more > 0 ? [...listed, `And ${more} more that are not listed.`] : listed;
}
