using System.Diagnostics;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Xunit;
using Xunit.Abstractions;

namespace AftercarePortal.Web.Tests.Simulation;

/// <summary>The real use cases through one bad night each: AFTERCARE_SEEDS says how many, AFTERCARE_FIRST_SEED where to begin.</summary>
public sealed class Simulation_of_bad_nights(ITestOutputHelper output)
{
    private static readonly int Seeds = int.TryParse(Environment.GetEnvironmentVariable("AFTERCARE_SEEDS"), out var n) ? n : 3;
    private static readonly int First = int.TryParse(Environment.GetEnvironmentVariable("AFTERCARE_FIRST_SEED"), out var n) ? n : 1;
    private static readonly HashSet<int> Nothing = [];

    [Fact]
    public async Task Breaks_no_rule_under_any_seed()
    {
        await using var stage = new Sim_stage();
        var watch = Stopwatch.StartNew();
        var crashes = 0;
        for (var seed = First; seed < First + Seeds; seed++)
        {
            var broken = await Broken(stage, seed, Nothing);
            Assert.True(broken is null, broken is null ? "" : $"seed {seed}: {broken}\n{await Shortened(stage, seed, broken)}");
            crashes += stage.Crashes.Crashes;
        }

        output.WriteLine($"{Seeds} nights of 9 hours in {watch.Elapsed.TotalSeconds:0.0} s, {crashes} crashes, {Seeds * 9 * 3600 / watch.Elapsed.TotalSeconds:0} times real time");
        Assert.True(crashes > 0);
    }

    [Fact]
    public async Task Tells_the_same_story_for_the_same_seed()
    {
        await using var stage = new Sim_stage();
        for (var seed = 1; seed <= 2; seed++)
            Assert.Equal(await new Sim_world(stage, seed, Nothing).Play(), await new Sim_world(stage, seed, Nothing).Play());
        Assert.NotEqual(await new Sim_world(stage, 1, Nothing).Play(), await new Sim_world(stage, 2, Nothing).Play());
    }

    public static TheoryData<string> Mutants =>
        ["no sweep", "messages are not read", "nobody is paged next", "no outcome is asked for", "taking is told to nobody", "a clear answer is sent again", "an urgency is lowered", "steps ignore quiet hours and STOP"];

    [Theory]
    [MemberData(nameof(Mutants))]
    public async Task Catches(string mutant)
    {
        await using var stage = new Sim_stage(services => Plant(services, mutant));
        for (var seed = 1; seed <= 500; seed++)
            if (await Broken(stage, seed, Nothing, sweeps: mutant != "no sweep") is { } rule)
            {
                output.WriteLine($"{mutant}: seed {seed}, {rule}");
                return;
            }

        Assert.Fail("not caught within 500 seeds");
    }

    private static void Plant(IServiceCollection services, string mutant)
    {
        switch (mutant)
        {
            case "messages are not read": Replace<ReadMessage>(services, MessageJobs.Read, (_, _) => Task.CompletedTask); break;
            case "nobody is paged next": Replace<AckDue>(services, EscalationJobs.AckDue, (_, _) => Task.CompletedTask); break;
            case "no outcome is asked for": Replace<OutcomeDue>(services, EscalationJobs.OutcomeDue, (_, _) => Task.CompletedTask); break;
            case "taking is told to nobody": Replace<Taken>(services, EscalationJobs.Taken, (_, _) => Task.CompletedTask); break;
            case "a clear answer is sent again":
                Replace<SendMessage>(services, MessageJobs.Send, async (s, subject) =>
                {
                    var real = ActivatorUtilities.CreateInstance<SendMessage>(s);
                    await real.Run(subject, default);
                    var db = s.GetRequiredService<PortalDb>();
                    (await db.Outgoing.SingleAsync(o => o.Id == Guid.Parse(subject))).State = OutgoingState.Pending;
                    await real.Run(subject, default);
                });
                break;
            case "an urgency is lowered":
                Replace<AckDue>(services, EscalationJobs.AckDue, async (s, subject) =>
                {
                    await ActivatorUtilities.CreateInstance<AckDue>(s).Run(subject, default);
                    var id = Guid.Parse(subject.Split(':')[0]);
                    await s.GetRequiredService<PortalDb>().Escalations.Where(e => e.Id == id).ExecuteUpdateAsync(set => set.SetProperty(e => e.Tier, Tier.SameDay));
                });
                break;
            case "steps ignore quiet hours and STOP":
                Replace<SendStep>(services, PlanAftercare.SendStep, async (s, subject) =>
                {
                    var db = s.GetRequiredService<PortalDb>();
                    var step = await db.Steps.SingleAsync(x => x.Id == Guid.Parse(subject));
                    var to = await db.Set<AftercarePortal.Web.Features.Patients.PatientRow>().Where(p => p.Id == step.PatientId).Select(p => p.Number).SingleAsync();
                    await db.QueueOnce($"step:{step.Id}", OutgoingKind.Step, "+12025550100", to, "step", step.DueAt, default);
                    await db.SaveChangesAsync();
                });
                break;
        }
    }

    private static void Replace<THandler>(IServiceCollection services, string kind, Func<IServiceProvider, string, Task> run)
    {
        services.Remove(services.Single(d => d.ImplementationType == typeof(THandler)));
        services.AddScoped<IJobHandler>(s => new Contracts.Told_handler((subject, _) => run(s, subject), kind));
    }

    private static async Task<string?> Broken(Sim_stage stage, int seed, IReadOnlySet<int> left, bool sweeps = true)
    {
        try
        {
            await new Sim_world(stage, seed, left) { Sweeps = sweeps }.Play();
            return null;
        }
        catch (Sim_broken broken)
        {
            return broken.Message;
        }
    }

    // Leaves out one message after the other for as long as the same rule breaks.
    private static async Task<string> Shortened(Sim_stage stage, int seed, string rule)
    {
        var left = new HashSet<int>();
        for (var i = 0; i < 8; i++)
            if (await Broken(stage, seed, new HashSet<int>(left) { i }) == rule) left.Add(i);
        var world = new Sim_world(stage, seed, left);
        try
        {
            await world.Play();
        }
        catch (Sim_broken)
        {
            // the story up to here is what is wanted
        }

        return string.Join('\n', world.Story);
    }
}
