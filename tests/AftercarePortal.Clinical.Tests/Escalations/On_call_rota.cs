using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Testing;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Escalations;

public sealed class On_call_rota
{
    private static readonly Instant Evening = Instant.FromUtc(2026, 6, 1, 20, 0);
    private static readonly Instant Morning = Instant.FromUtc(2026, 6, 2, 8, 0);
    private static readonly Rota Rota = new([new("tomas", Evening, Morning, 2), new("iris", Evening, Morning, 1), new("ada", Morning, Morning + Duration.FromHours(12), 1)], ["vera"]);

    [Fact]
    public void Names_who_is_on_call_in_order() => Assert.Equal(["iris", "tomas"], Rota.OnCallAt(Evening).InOrder);

    [Fact]
    public void Hands_over_at_the_instant_a_shift_ends() => Assert.Equal(["ada"], Rota.OnCallAt(Morning).InOrder);

    [Fact]
    public void In_a_gap_nobody_is_in_order_and_everyone_is_still_there()
    {
        var onCall = Rota.OnCallAt(Evening - Duration.Epsilon);
        Assert.Empty(onCall.InOrder);
        Assert.Equal(["ada", "iris", "tomas", "vera"], onCall.Everyone);
    }

    [Fact]
    public void Pages_a_person_with_two_shifts_at_once_only_in_one_place() =>
        Assert.Equal(["iris", "tomas"], (Rota with { Shifts = [.. Rota.Shifts, new("iris", Evening, Morning, 3)] }).OnCallAt(Evening).InOrder);

    [Fact]
    public void A_shift_that_ends_before_it_begins_never_holds() =>
        Assert.Empty(new Rota([new("iris", Morning, Evening, 1)], []).OnCallAt(Evening + Duration.FromHours(1)).InOrder);

    [Fact]
    [Source("IANA tz database, file europe, rule EU", at: "clocks go back at 01:00 UTC on the last Sunday of October")]
    public void On_the_night_the_clocks_go_back_nobody_drops_out_in_the_hour_that_comes_twice()
    {
        var zone = DateTimeZoneProviders.Tzdb["Europe/London"];
        var from = new LocalDateTime(2026, 10, 24, 20, 0).InZoneStrictly(zone).ToInstant();
        var to = new LocalDateTime(2026, 10, 25, 8, 0).InZoneStrictly(zone).ToInstant();
        var rota = new Rota([new("iris", from, to, 1)], []);
        Assert.Equal(Duration.FromHours(13), to - from);
        for (var at = from; at < to; at += Duration.FromMinutes(15)) Assert.Equal(["iris"], rota.OnCallAt(at).InOrder);
    }

    [Fact]
    public void Tells_its_gaps_and_who_holds_one_place_together()
    {
        var rota = Rota with { Shifts = [.. Rota.Shifts, new("vera", Morning - Duration.FromHours(2), Morning, 1)] };
        Assert.Equal(
            [
                new RotaFlaw.Gap(Evening - Duration.FromHours(3), Evening),
                new RotaFlaw.Overlap(Morning - Duration.FromHours(2), Morning, 1, ["iris", "vera"]),
                new RotaFlaw.Gap(Morning + Duration.FromHours(12), Morning + Duration.FromHours(14)),
            ],
            rota.FlawsBetween(Evening - Duration.FromHours(3), Morning + Duration.FromHours(14)));
    }

    [Fact]
    public void Without_a_shift_is_one_gap() => Assert.Equal([new RotaFlaw.Gap(Evening, Morning)], new Rota([], ["vera"]).FlawsBetween(Evening, Morning));

    [Fact]
    public void Seamless_over_a_hand_over_has_no_flaw() => Assert.Empty(Rota.FlawsBetween(Evening, Morning + Duration.FromHours(12)));

    [Fact]
    public void A_flaw_is_one_flaw_although_others_come_and_go_during_it()
    {
        var rota = new Rota([new("iris", Evening, Morning, 1), new("ada", Evening, Morning, 1), new("tomas", Evening + Duration.FromHours(1), Morning, 2)], []);
        Assert.Equal([new RotaFlaw.Overlap(Evening, Morning, 1, ["ada", "iris"])], rota.FlawsBetween(Evening, Morning));
    }

    [Theory]
    [Source("IANA tz database, file europe, rule EU", at: "clocks go forward at 01:00 UTC on the last Sunday of March and back on the last Sunday of October")]
    [InlineData(2026, 3, 28, 11)]
    [InlineData(2026, 10, 24, 13)]
    public void A_night_without_anybody_is_as_long_as_the_clocks_make_it(int year, int month, int day, int hours)
    {
        var zone = DateTimeZoneProviders.Tzdb["Europe/London"];
        var evening = new LocalDateTime(year, month, day, 20, 0).InZoneStrictly(zone).ToInstant();
        var morning = new LocalDateTime(year, month, day, 8, 0).PlusDays(1).InZoneStrictly(zone).ToInstant();
        var rota = new Rota([new("iris", evening - Duration.FromHours(12), evening, 1), new("iris", morning, morning + Duration.FromHours(12), 1)], []);
        var gap = Assert.Single(rota.FlawsBetween(evening - Duration.FromHours(12), morning + Duration.FromHours(12)));
        Assert.Equal(Duration.FromHours(hours), gap.To - gap.From);
    }
}
