import { ppfdOf } from '../../signals.ts';
import type { ProbeSampler } from '../sampler.ts';

/** Photon flux density, µmol m⁻² s⁻¹; illuminance stands for it by the factor of the light source. */
export const lightOverPeak: ProbeSampler = {
  by: 'probe',
  asRead: false,
  beside: [],
  beforeMs: 0,
  value: (reading, { lxPerUmol }) => ppfdOf(reading, lxPerUmol),
};
