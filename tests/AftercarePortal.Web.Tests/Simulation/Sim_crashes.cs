using Microsoft.EntityFrameworkCore.Diagnostics;

namespace AftercarePortal.Web.Tests.Simulation;

/// <summary>Kills the process in a save: before it, or after it was committed.</summary>
internal sealed class Sim_crashes : SaveChangesInterceptor
{
    private int _saves;

    /// <summary>Null: nothing crashes.</summary>
    public Sim_chance? Chance { get; set; }

    /// <summary>What ends with the process.</summary>
    public CancellationTokenSource Life { get; set; } = new();

    public int Crashes { get; private set; }

    public void Begin(Sim_chance chance) => (Chance, _saves, Crashes) = (chance, 0, 0);

    public override ValueTask<InterceptionResult<int>> SavingChangesAsync(DbContextEventData eventData, InterceptionResult<int> result, CancellationToken cancellationToken = default)
    {
        _saves++;
        Perhaps("before");
        return ValueTask.FromResult(result);
    }

    public override ValueTask<int> SavedChangesAsync(SaveChangesCompletedEventData eventData, int result, CancellationToken cancellationToken = default)
    {
        Perhaps("after");
        return ValueTask.FromResult(result);
    }

    private void Perhaps(string when)
    {
        if (Chance?.In100($"crash {when} {_saves}", 2) is not true) return;
        Crashes++;
        Life.Cancel();
        throw new OperationCanceledException("killed");
    }
}
