import Database from 'better-sqlite3';

/** The place of every probe in a record, by device and name, read without changing it. */
export function knownPlaces(file: string): ReadonlyMap<string, string | null> {
  const db = new Database(file, { readonly: true, fileMustExist: true });
  try {
    const rows = db.prepare<[], { device: string; name: string; place: string | null }>(
      'SELECT device, name, place_id AS place FROM probe',
    );
    return new Map(rows.all().map(({ device, name, place }) => [`${device}/${name}`, place]));
  } finally {
    db.close();
  }
}
