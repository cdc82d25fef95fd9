import { known } from '../state.ts';

/** Where to find what is in the archive; nothing while it is empty. */
export function ArchiveLead() {
  const items = known.value.house?.archive?.items ?? 0;
  if (items === 0) return null;
  return (
    <p class="archive-lead">
      <a href="#/archived">Archived: {items}</a>
    </p>
  );
}
