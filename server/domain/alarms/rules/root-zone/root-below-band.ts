import { AS_READ } from '../sampler.ts';

export const rootBelowBand = AS_READ;
