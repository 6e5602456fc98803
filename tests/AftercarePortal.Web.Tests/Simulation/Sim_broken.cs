namespace AftercarePortal.Web.Tests.Simulation;

/// <summary>Something that must never happen did.</summary>
internal sealed class Sim_broken(string rule) : Exception(rule);
