const UNITS = ['B', 'kB', 'MB', 'GB', 'TB'] as const;

/** Bytes as a person reads them: "0 B", "12 kB", "3.4 GB". */
export function bytesText(bytes: number): string {
  const power = Math.min(UNITS.length - 1, Math.floor(Math.log10(Math.max(1, bytes)) / 3));
  const value = bytes / 1000 ** power;
  return `${value.toFixed(power > 0 && value < 10 ? 1 : 0)} ${UNITS[power]}`;
}
