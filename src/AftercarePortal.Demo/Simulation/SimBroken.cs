namespace AftercarePortal.Demo.Simulation;

/// <summary>Something that must never happen did.</summary>
internal sealed class SimBroken(string rule) : Exception(rule);
