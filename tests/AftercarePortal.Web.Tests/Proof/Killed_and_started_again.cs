using AftercarePortal.Clinical.Triage;
using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using Xunit;

namespace AftercarePortal.Web.Tests.Proof;

/// <summary>The program really runs, really gets SIGKILL, and really starts again on the same database.</summary>
public abstract class Killed_and_started_again(Killed_portals portals)
{
    public static TheoryData<Moment> EachMoment => [.. Enum.GetValues<Moment>()];

    [Theory]
    [MemberData(nameof(EachMoment))]
    public async Task The_report_is_kept_read_and_opened_once(Moment killed_when)
    {
        var after = await portals.Of(killed_when);
        Assert.Equal((1, 1), (after.Messages, after.Readings));
        var report = Assert.Single(after.Reports);
        Assert.Equal(Tier.Emergency, report.Tier);
        Assert.Equal([EscalationEvent.Opened, EscalationEvent.Paged], after.Events.Where(e => e is not EscalationEvent.PatientTold));
    }

    [Theory]
    [MemberData(nameof(EachMoment))]
    public async Task The_first_on_call_is_texted_and_called_and_the_patient_answered(Moment killed_when)
    {
        var after = await portals.Of(killed_when);
        Assert.Equal(
            [(OutgoingKind.PageCall, Seed.FirstOnCall), (OutgoingKind.PageText, Seed.FirstOnCall), (OutgoingKind.SafetyReply, Seed.PatientNumber)],
            after.Sent.Select(o => (o.Row.Kind, o.Row.To)).OrderBy(o => o.Kind.ToString()));
        Assert.All(after.Sent, o => Assert.Equal(OutgoingState.Accepted, o.Row.State));
    }

    [Theory]
    [MemberData(nameof(EachMoment))]
    public async Task Only_what_was_on_the_line_at_that_moment_may_reach_the_carrier_twice(Moment killed_when)
    {
        var after = await portals.Of(killed_when);
        Assert.All(after.Sent, o => Assert.True(o.Taken >= 1 && o.Taken <= Math.Max(1, o.TriesAfter + (o.WasOnTheLine ? 1 : 0)), $"{o.Row.Kind}: {o}"));
        Assert.Equal(after.CarrierHas, after.Sent.Sum(o => o.Taken));
    }

    [Theory]
    [InlineData(Moment.The_carrier_holds_the_page)]
    [InlineData(Moment.The_carrier_took_the_page_without_answering)]
    public async Task A_page_on_the_line_reaches_the_carrier_once_because_it_is_asked_before_anything_is_repeated(Moment killed_when)
    {
        var after = await portals.Of(killed_when);
        var onTheLine = after.Sent.Where(o => o.WasOnTheLine && o.Row.Kind is not OutgoingKind.PageCall).ToList();
        Assert.NotEmpty(onTheLine);
        Assert.Contains(onTheLine, o => o.Taken == 1);
    }
}

public sealed class Killed_and_started_again_on_SQLite(Killed_portals_on_SQLite portals) : Killed_and_started_again(portals), IClassFixture<Killed_portals_on_SQLite>;

public sealed class Killed_and_started_again_on_PostgreSQL(Killed_portals_on_PostgreSQL portals) : Killed_and_started_again(portals), IClassFixture<Killed_portals_on_PostgreSQL>;
