import { fileDescriptors } from '../../adapters/system/descriptors.ts';
import { withinBudget } from '../../domain/limits/budget.ts';
import { LIMITS, type Limits } from '../../domain/limits/table.ts';
import type { Log } from '../../ports.ts';

/** The limits on what comes from the network, as far as this process has file descriptors for it; says so if not. */
export function limitsHere(log: Log): Limits {
  const limits = withinBudget(LIMITS, fileDescriptors());
  const { mqttClientsInAll: devices, httpConnectionsInAll: pages } = limits;
  if (devices < LIMITS.mqttClientsInAll) {
    const message = 'few file descriptors: fewer connections are taken; raise the limit of open files';
    log.warn(message, { devices, pages });
  }
  return limits;
}
