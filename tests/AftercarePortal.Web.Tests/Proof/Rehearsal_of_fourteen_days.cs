using AftercarePortal.Demo.Rehearsal;
using AftercarePortal.Web.Jobs;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace AftercarePortal.Web.Tests.Proof;

/// <summary>The whole portal with its own workers and the loopback carrier over HTTP, on the demo clock.</summary>
public sealed class Rehearsal_of_fourteen_days
{
    [Fact]
    public async Task Everything_due_is_done_at_its_hour()
    {
        await using var stage = await Stage.Set();
        using var output = new StringWriter();
        Assert.True(await new Rehearsal(stage.Demo, output, TimeSpan.FromSeconds(60)).Play() == 0, output.ToString());
        Assert.Contains("day 2  23:43  Tomas Reed  presses 1", output.ToString(), StringComparison.Ordinal);
        Assert.Contains("day 14 10:00  portal      texts Mira Sand", output.ToString(), StringComparison.Ordinal);
        Assert.EndsWith("Everything due was done." + Environment.NewLine, output.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task With_the_workers_stopped_it_says_what_was_not_done_and_fails()
    {
        await using var stage = await Stage.Set();
        await stage.Demo.Parts.GetRequiredService<JobRunner>().StopAsync(default);
        using var output = new StringWriter();
        Assert.Equal(1, await new Rehearsal(stage.Demo, output, TimeSpan.FromSeconds(2)).Play());
        Assert.Contains("A job (", output.ToString(), StringComparison.Ordinal);
        Assert.DoesNotContain("Everything due was done", output.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task With_a_carrier_that_refuses_one_text_it_fails_and_names_it()
    {
        await using var stage = await Stage.Set();
        stage.Demo.Carrier.NextFaults.Enqueue(400);
        using var output = new StringWriter();
        Assert.Equal(1, await new Rehearsal(stage.Demo, output, TimeSpan.FromSeconds(60)).Play());
        Assert.Matches("  - A message \\(Step\\) of day 0  1[0-9]:[0-9]{2} was not handed over: Refused\\.", output.ToString());      // the warning list at signing
        Assert.Contains("NOT DONE (1)", output.ToString(), StringComparison.Ordinal);
    }
}
