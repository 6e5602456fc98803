using NodaTime;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>How the earliest date of a finding is found. Always a date to be confirmed by the clinic.</summary>
public abstract record Earliest
{
    private Earliest() { }

    /// <summary>The date, or null when the answer it counts from is missing.</summary>
    public abstract LocalDate? On(IntakeFacts facts);

    /// <summary>So many days after a date given.</summary>
    public sealed record AfterAnswer(string LinkId, int Days) : Earliest
    {
        /// <inheritdoc />
        public override LocalDate? On(IntakeFacts facts) => facts.DateOf(LinkId)?.PlusDays(Days);
    }

    /// <summary>So many days from today: the latest the date can be, when only a window was asked for.</summary>
    public sealed record FromToday(int Days) : Earliest
    {
        /// <inheritdoc />
        public override LocalDate? On(IntakeFacts facts) => facts.Today.PlusDays(Days);
    }

    /// <summary>A birthday.</summary>
    public sealed record AtBirthday(string LinkId, int Years) : Earliest
    {
        /// <inheritdoc />
        public override LocalDate? On(IntakeFacts facts) => facts.DateOf(LinkId) is { } birth ? Birthday(birth, Years) : null;
    }

    /// <summary>The day somebody turns so many years old; the one rule for whether somebody is of age.</summary>
    /// <remarks>Born on 29 February: 1 March in a common year. Law differs by country between 28 February and 1 March (from memory, unchecked); this is the later, careful day.</remarks>
    public static LocalDate Birthday(LocalDate birth, int years)
    {
        var day = birth.PlusYears(years);
        return day.Day == birth.Day ? day : day.PlusDays(1);
    }
}
