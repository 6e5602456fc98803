namespace AftercarePortal.Clinical.Pricing;

/// <summary>What a regression over completed cases came to.</summary>
/// <param name="Mean">mn.</param>
/// <param name="Covariance">Vn, before f2.</param>
/// <param name="Nu">Degrees of freedom.</param>
/// <param name="S2">Scale of f2.</param>
/// <param name="LogMarginalLikelihood">ln p(y) under the spread that was asked for.</param>
/// <param name="LogH">Sum of ln|H|.</param>
/// <param name="LogV">ln |Vn| / |V0|.</param>
public sealed record CasePosterior(double[] Mean, double[][] Covariance, double Nu, double S2, double LogMarginalLikelihood, double LogH, double LogV);
