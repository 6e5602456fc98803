using AftercarePortal.Clinical.Triage;
using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Time.Testing;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Escalations;

/// <summary>The watch over timers, on every database.</summary>
public abstract class Watch_over_timers : IDisposable
{
    private static readonly Guid Clinic = Guid.CreateVersion7();
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 10, 23, 40, 0, TimeSpan.Zero));
    private readonly ITestDatabase _database;

    private protected Watch_over_timers(ITestDatabase database) => _database = database;

    private Instant Now => _time.GetCurrentInstant();

    public void Dispose()
    {
        _database.Dispose();
        GC.SuppressFinalize(this);
    }

    [Fact]
    public async Task Gives_an_open_report_its_timer_back_once_and_leaves_those_that_have_theirs_or_are_closed_alone()
    {
        var (lost, well, closed) = (Report("+12025550121"), Report("+12025550122"), Report("+12025550123"));
        (closed.ClosedAt, closed.OpenKey) = (Now, closed.Id.ToString());
        await Save([AClinic(), lost, well, closed, .. new[] { lost, well, closed }.SelectMany(Paged), Timer(well)]);
        Assert.Equal((1, 0), (await Watch(), await Watch()));
        await using var db = _database.Open(Clinic);
        var stored = Assert.Single(await db.Jobs.Where(j => j.Subject.StartsWith(lost.Id.ToString())).ToListAsync());
        Assert.Equal((EscalationJobs.AckDue, $"{lost.Id}:1", 0), (stored.Kind, stored.Subject, stored.Lane));
    }

    [Fact]
    public async Task Gives_a_message_whose_reading_was_given_up_to_a_person_once()
    {
        var message = new MessageRow { ClinicId = Clinic, CarrierId = "SM1", From = "+12025550123", To = "+12025550100", Text = "words", MediaCount = 0, RawForm = "", ReceivedAt = Now, WrittenAt = Now };
        await Save([AClinic(), message, new JobRow { ClinicId = Clinic, Kind = MessageJobs.Read, Subject = message.Id.ToString(), DueAt = Now, Lane = JobTable.ReadLane, ParkedAt = Now }]);
        Assert.Equal((1, 0), (await Watch(), await Watch()));
    }

    [Fact]
    public async Task Of_two_machines_at_once_gives_each_report_one_timer()
    {
        var reports = Enumerable.Range(0, 9).Select(i => Report($"+1202555012{i}")).ToList();
        await Save([AClinic(), .. reports, .. reports.SelectMany(Paged)]);
        Assert.Equal(9, (await Task.WhenAll(Enumerable.Range(0, 3).Select(_ => Task.Run(Watch)))).Sum());
    }

    private async Task<int> Watch()
    {
        var services = new ServiceCollection().AddScoped<ClinicScope>().AddScoped(s => _database.Open(s.GetRequiredService<ClinicScope>())).AddSingleton(Shared_content.Library).BuildServiceProvider();
        using var watch = new TimerWatch(services.GetRequiredService<IServiceScopeFactory>(), _time, NullLogger<TimerWatch>.Instance);
        return await watch.Run(default);
    }

    private async Task Save(IReadOnlyList<object> rows)
    {
        await using var db = _database.Open(Clinic);
        db.AddRange(rows);
        await db.SaveChangesAsync();
    }

    private static ClinicRow AClinic() => new() { Id = Clinic, Name = "Wrenfold Clinic", Zone = "America/New_York", EmergencyNumber = "911", ClinicLine = "202-555-0142", PatientNumber = "+12025550100", PageNumber = "+12025550101", QuietFrom = new(21, 0), QuietTo = new(8, 0) };

    private EscalationRow Report(string number) => new() { ClinicId = Clinic, Number = number, Ref = "7KQX", Tier = Tier.Urgent, OpenedAt = Now, WrittenAt = Now, OpenKey = number };

    private IEnumerable<object> Paged(EscalationRow report) => new[] { EscalationEvent.Opened, EscalationEvent.Paged }.Select(what => new EscalationEventRow { ClinicId = Clinic, EscalationId = report.Id, Turn = 1, At = Now, What = what, Person = "iris" });

    private JobRow Timer(EscalationRow report) => new() { ClinicId = Clinic, Kind = EscalationJobs.AckDue, Subject = $"{report.Id}:1", DueAt = Now + Duration.FromMinutes(6), Lane = 0 };
}

public sealed class Watch_over_timers_on_SQLite() : Watch_over_timers(ITestDatabase.Sqlite());

public sealed class Watch_over_timers_on_PostgreSQL() : Watch_over_timers(ITestDatabase.Postgres());
