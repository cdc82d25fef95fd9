import { AS_READ } from '../sampler.ts';

export const airBelowBandByDay = AS_READ;
