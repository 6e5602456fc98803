namespace AftercarePortal.Web.Commands.Simulation;

/// <summary>How invented clinics are made, so that the forecast can be tried where it is right, where it is a little wrong and where it is quite wrong.</summary>
/// <param name="Name">A, B or C.</param>
/// <param name="Says">In words.</param>
/// <param name="ClinicSpread">Factor on how far clinics lie from the published figures.</param>
/// <param name="Men">Log effect of men; null to draw it from the model.</param>
/// <param name="Laxer">Added to the logit of laxity.</param>
/// <param name="UseUp">Share of treatments in which the opened syringe is used up.</param>
/// <param name="DriftAfter">Cases after which amounts change.</param>
/// <param name="Drift">Log change then.</param>
/// <param name="SecondInjector">Log factor of a second injector whom nobody recorded; 0 for none.</param>
/// <param name="OtherShapes">Sides gamma instead of lognormal, faces with four degrees of freedom instead of normal.</param>
internal sealed record Generator(
    string Name, string Says, double ClinicSpread, double? Men, double Laxer, double UseUp, int DriftAfter, double Drift, double SecondInjector, bool OtherShapes)
{
    internal static IReadOnlyList<Generator> All { get; } =
    [
        new("A", "the model itself", 1, null, 0, 0, int.MaxValue, 0, 0, false),
        new("B", "gamma sides, faces with heavy tails, men more, laxer skin, 4 in 10 syringes used up, 12 percent more after 120 cases", 1, 0.55, 0.7, 0.4, 120, Math.Log(1.12), 0, true),
        new("C", "clinics twice as far from the published figures, a hidden second injector at 1.7 times, 28 percent more after 80 cases", 2, null, 0, 0, 80, Math.Log(1.28), Math.Log(1.7), false),
    ];
}
