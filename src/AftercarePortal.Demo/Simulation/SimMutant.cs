using System.Text.RegularExpressions;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Demo.Simulation;

/// <summary>One fault planted on purpose: a simulation that does not catch it proves nothing.</summary>
/// <param name="Name">What is wrong, in words.</param>
internal sealed record SimMutant(string Name)
{
    /// <summary>Replaces a part of the portal by a faulty one.</summary>
    public Action<IServiceCollection> Plant { get; init; } = _ => { };
    /// <summary>Changes the tables.</summary>
    public IReadOnlyList<string> Schema { get; init; } = [];
    /// <summary>Changes a command on its way to the database.</summary>
    public Func<string, string>? Rewrite { get; init; }
    /// <summary>Changes what is about to be saved; what it returns is saved afterwards.</summary>
    public Func<DbContext, IReadOnlyList<object>>? BeforeSave { get; init; }
    public bool NeverSweeps { get; init; }
    /// <summary>The carrier gets its 200 before the message is stored.</summary>
    public bool AnswersFirst { get; init; }
    /// <summary>Opening the page takes the report.</summary>
    public bool TakesOnLook { get; init; }
    /// <summary>Closing does not ask what the page showed.</summary>
    public bool ClosesUnseen { get; init; }
    /// <summary>Commits are not synced, and a machine that dies loses its power.</summary>
    public bool LosesPower { get; init; }

    public static IReadOnlyList<SimMutant> All { get; } =
    [
        new("the carrier's list is never asked") { NeverSweeps = true },
        new("the carrier is answered before the message is stored") { AnswersFirst = true },
        new("opening the page takes the report") { TakesOnLook = true },
        new("commits are not synced to the disk") { LosesPower = true },
        new("a report can be closed over a message nobody saw") { ClosesUnseen = true },
        new("a lease holds nobody off") { Rewrite = sql => Regex.Replace(sql, """ AND \("j\d?"\."LeasedUntil" IS NULL OR "j\d?"\."LeasedUntil" <= @\w+\)""", "") },
        new("taking does not ask whether somebody has it") { Rewrite = sql => sql.StartsWith("UPDATE \"Escalations\"", StringComparison.Ordinal) ? sql.Replace(" AND \"e\".\"TakenBy\" IS NULL", "", StringComparison.Ordinal) : sql },
        new("one message can be kept twice") { Schema = ["DROP INDEX \"IX_Messages_CarrierId\""] },
        new("a job is stored apart from its cause")
        {
            BeforeSave = db =>
            {
                var jobs = db.ChangeTracker.Entries<JobRow>().Where(e => e.State == EntityState.Added).ToList();
                if (db.ChangeTracker.Entries().Count() == jobs.Count) return [];
                foreach (var job in jobs) job.State = EntityState.Detached;
                return [.. jobs.Select(j => j.Entity)];
            },
        },
        new("a text is not marked before the carrier hears of it")
        {
            BeforeSave = db =>
            {
                foreach (var text in db.ChangeTracker.Entries<OutgoingRow>().Where(e => e.Entity.State is OutgoingState.Calling))
                    text.Property(o => o.State).CurrentValue = OutgoingState.Pending;
                return [];
            },
        },
        new("messages are not read") { Plant = s => Replace<ReadMessage>(s, MessageJobs.Read, (_, _) => Task.CompletedTask) },
        new("nobody is paged next") { Plant = s => Replace<AckDue>(s, EscalationJobs.AckDue, (_, _) => Task.CompletedTask) },
        new("whoever has a report need not confirm that it got worse")
        {
            Plant = s => Replace<AckDue>(s, EscalationJobs.AckDue, async (parts, subject) =>
            {
                var id = Guid.Parse(subject.Split(':')[0]);
                if (await parts.GetRequiredService<PortalDb>().Escalations.AnyAsync(e => e.Id == id && e.TakenBy == null)) await ActivatorUtilities.CreateInstance<AckDue>(parts).Run(subject, default);
            }),
        },
        new("no outcome is asked for") { Plant = s => Replace<OutcomeDue>(s, EscalationJobs.OutcomeDue, (_, _) => Task.CompletedTask) },
        new("taking is told to nobody") { Plant = s => Replace<Taken>(s, EscalationJobs.Taken, (_, _) => Task.CompletedTask) },
        new("an urgency is lowered")
        {
            Plant = s => Replace<AckDue>(s, EscalationJobs.AckDue, async (parts, subject) =>
            {
                await ActivatorUtilities.CreateInstance<AckDue>(parts).Run(subject, default);
                var id = Guid.Parse(subject.Split(':')[0]);
                await parts.GetRequiredService<PortalDb>().Escalations.Where(e => e.Id == id).ExecuteUpdateAsync(set => set.SetProperty(e => e.Tier, Tier.SameDay));
            }),
        },
        new("a text is sent again after a clear answer")
        {
            Plant = s => Replace<SendMessage>(s, MessageJobs.Send, async (parts, subject) =>
            {
                await ActivatorUtilities.CreateInstance<SendMessage>(parts).Run(subject, default);
                var id = Guid.Parse(subject);
                await parts.GetRequiredService<PortalDb>().Outgoing.Where(o => o.Id == id).ExecuteUpdateAsync(set => set.SetProperty(o => o.State, OutgoingState.Pending));
                await using var again = parts.CreateAsyncScope();
                again.ServiceProvider.GetRequiredService<ClinicScope>().Enter(SimClinic.Id);
                await ActivatorUtilities.CreateInstance<SendMessage>(again.ServiceProvider).Run(subject, default);
            }),
        },
        new("a step that was let go is not looked at again") { Plant = s => s.Remove(s.Single(d => d.ImplementationType == typeof(StepText))) },
        new("a step names the day it was due")
        {
            BeforeSave = db =>
            {
                foreach (var text in db.ChangeTracker.Entries<OutgoingRow>().Where(e => e.Entity.Kind is OutgoingKind.Step))
                    text.Property(o => o.Text).CurrentValue = Regex.Replace(text.Entity.Text, @"^Day \d+", "Day 0");
                return [];
            },
        },
        new("a text found late counts as written when it was found")
        {
            BeforeSave = db =>
            {
                foreach (var message in db.ChangeTracker.Entries<MessageRow>()) message.Property(m => m.WrittenAt).CurrentValue = message.Entity.ReceivedAt;
                return [];
            },
        },
        new("steps go out in quiet hours")
        {
            BeforeSave = db =>
            {
                foreach (var clinic in db.ChangeTracker.Entries<ClinicRow>()) clinic.Property(c => c.QuietFrom).CurrentValue = clinic.Entity.QuietTo;
                return [];
            },
        },
        new("steps go out after a STOP")
        {
            Plant = s => Replace<SendStep>(s, PlanAftercare.SendStep, SendAtOnce),
            Rewrite = sql => sql.Replace("SELECT \"o\".\"Stopped\"", "SELECT 0", StringComparison.Ordinal),
        },
    ];

    private static void Replace<THandler>(IServiceCollection services, string kind, Func<IServiceProvider, string, Task> run)
    {
        services.Remove(services.Single(d => d.ImplementationType == typeof(THandler)));
        services.AddScoped<IJobHandler>(s => new SimHandler(kind, subject => run(s, subject)));
    }

    private static async Task SendAtOnce(IServiceProvider parts, string subject)
    {
        var db = parts.GetRequiredService<PortalDb>();
        var step = await db.Steps.SingleAsync(x => x.Id == Guid.Parse(subject));
        var hour = parts.GetRequiredService<TimeProvider>().GetUtcNow();
        var to = await db.Patients.Where(p => p.Id == step.PatientId).Select(p => p.Number).SingleAsync();
        // Only the planted fault: what else holds a step back still does.
        if (await db.Escalations.AnyAsync(e => e.Number == to && e.ClosedAt == null && (e.Tier == Tier.Urgent || e.Tier == Tier.Emergency)))
        {
            await ActivatorUtilities.CreateInstance<SendStep>(parts).Run(subject, default);
            return;
        }

        await db.QueueOnce($"step:{step.Id}", OutgoingKind.Step, SimClinic.ClinicNumber, to, "step", NodaTime.Instant.FromDateTimeOffset(hour), default);
        step.State = StepState.Sent;
        await db.SaveChangesAsync();
    }

    private sealed class SimHandler(string kind, Func<string, Task> run) : IJobHandler
    {
        public string Kind => kind;

        public Task Run(string subject, CancellationToken stop) => run(subject);
    }
}
