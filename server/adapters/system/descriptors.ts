import { readdirSync, readFileSync } from 'node:fs';

/** File descriptors this process may have, and has open now; null where the system does not say. */
export function fileDescriptors(): { readonly most: number; readonly inUse: number } | null {
  try {
    const [, soft = ''] = /^Max open files\s+(\d+)/m.exec(readFileSync('/proc/self/limits', 'utf8')) ?? [];
    const most = Number(soft);
    return soft === '' ? null : { most, inUse: readdirSync('/proc/self/fd').length };
  } catch {
    return null;
  }
}
