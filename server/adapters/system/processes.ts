import { readFileSync } from 'node:fs';

/** True while a process of this number runs, whoever owns it; one that is dead and was not waited for does not. */
export function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
  } catch (cause) {
    return cause instanceof Error && 'code' in cause && cause.code === 'EPERM';
  }
  return !isZombie(pid);
}

/** Linux says the state of a process behind its name, which stands in brackets. */
function isZombie(pid: number): boolean {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, 'utf8');
    return /^[ZX]/.test(stat.slice(stat.lastIndexOf(')') + 2));
  } catch {
    return false;
  }
}
