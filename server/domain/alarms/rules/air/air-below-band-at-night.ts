import { AS_READ } from '../sampler.ts';

export const airBelowBandAtNight = AS_READ;
