namespace AftercarePortal.Demo.Simulation;

/// <summary>One node's process ends here and now: nothing it still had in hand is done.</summary>
internal sealed class SimCrash() : OperationCanceledException("killed");
