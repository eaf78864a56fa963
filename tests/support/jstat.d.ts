/** What the tests use of jstat, which comes without types: distributions by name. */
declare module "jstat" {
  interface Distribution {
    pdf(x: number, ...parameters: number[]): number;
    cdf(x: number, ...parameters: number[]): number;
    inv(p: number, ...parameters: number[]): number;
  }
  const jstat: Record<
    "beta" | "binomial" | "chisquare" | "gamma" | "invgamma" | "lognormal" | "normal" | "poisson" | "studentt",
    Distribution
  > & {
    gammaln(x: number): number;
    gammap(a: number, x: number): number;
    lowRegGamma(a: number, x: number): number;
    ibeta(x: number, a: number, b: number): number;
    erf(x: number): number;
    erfc(x: number): number;
  };
  export default jstat;
}
