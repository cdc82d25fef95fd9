import { pino } from 'pino';
import type { Log } from '../../ports.ts';

/** Log lines as JSON on the standard error stream. */
export function createLog(level: 'info' | 'warn'): Log {
  const logger = pino({ level, base: null, timestamp: pino.stdTimeFunctions.isoTime }, pino.destination(2));
  return {
    info: (message, fields = {}) => logger.info(fields, message),
    warn: (message, fields = {}) => logger.warn(fields, message),
    error: (message, fields = {}) => logger.error(fields, message),
  };
}
