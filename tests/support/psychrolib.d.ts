/** The part of psychrolib that tests compare against; SI units: °C, fraction, Pa, m, kg/kg. */
declare module 'psychrolib' {
  const psychrolib: {
    readonly SI: number;
    SetUnitSystem(system: number): void;
    GetSatVapPres(temperature: number): number;
    GetVapPresFromRelHum(dryBulb: number, fraction: number): number;
    GetTDewPointFromVapPres(dryBulb: number, vapourPressure: number): number;
    GetRelHumFromTDewPoint(dryBulb: number, dewPoint: number): number;
    GetHumRatioFromVapPres(vapourPressure: number, pressure: number): number;
    GetHumRatioFromTWetBulb(dryBulb: number, wetBulb: number, pressure: number): number;
    GetVaporPressureDeficit(dryBulb: number, ratio: number, pressure: number): number;
    GetTWetBulbFromHumRatio(dryBulb: number, ratio: number, pressure: number): number;
    GetStandardAtmPressure(altitude: number): number;
  };
  export default psychrolib;
}
