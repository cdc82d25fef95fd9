import { pino } from 'pino';
import type { Log } from '../../ports.ts';

/** Lines that wait for a stream that accepts nothing, bytes; what comes beyond is left out. */
const MOST_WAITING_BYTES = 1024 * 1024;

/** Log lines as JSON on the standard error stream. One that is closed, or on a full disk, stops nobody. */
export function createLog(level: 'info' | 'warn'): Log {
  const stream = pino.destination({ dest: 2, sync: true, maxLength: MOST_WAITING_BYTES });
  stream.on('error', () => undefined);
  const logger = pino({ level, base: null, timestamp: pino.stdTimeFunctions.isoTime }, stream);
  return {
    info: (message, fields = {}) => logger.info(fields, message),
    warn: (message, fields = {}) => logger.warn(fields, message),
    error: (message, fields = {}) => logger.error(fields, message),
  };
}
