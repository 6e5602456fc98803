using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Sources;
using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Clinical.Aftercare;

/// <summary>How the sequences of one patient become one plan; knowledge from content, a design choice without a source.</summary>
/// <param name="Version">The file that says so.</param>
/// <param name="SpeaksFirst">Every product class; of equal kinds of step the earlier in this list speaks.</param>
/// <param name="ApartMinutes">Two texts are never closer than this, 60 or more.</param>
/// <param name="NotAgainWithinHours">By kind: a text sent so short a time before is not sent again; a kind that is not listed always is.</param>
/// <param name="LateSafetyDays">The newest safety text that was due before a record was signed goes out at signing when it is no more than so many days past, 1 or more.</param>
/// <param name="TouchUp">What a touch-up does not ask for anew.</param>
/// <param name="Quiet">Quiet hours of a clinic that set none: no step is asked for in them.</param>
/// <param name="Shared">Texts that speak for several classes at once.</param>
/// <param name="Conflicts">Advice that must not go out side by side.</param>
/// <param name="Named">What a text has to name while a class is fresh; the content check holds it.</param>
/// <param name="Held">Kinds of step that wait while a report of a tier is open.</param>
public sealed record MergeRules(
    ContentVersion Version, IReadOnlyList<ProductClass> SpeaksFirst, int ApartMinutes, IReadOnlyDictionary<StepKind, int> NotAgainWithinHours, int LateSafetyDays, TouchUpRules TouchUp, QuietHours Quiet,
    IReadOnlyList<SharedText> Shared, IReadOnlyList<AdviceConflict> Conflicts, IReadOnlyList<NamedSigns> Named,
    IReadOnlyDictionary<Tier, IReadOnlyList<StepKind>> Held)
{
    /// <summary>Place of a class in <see cref="SpeaksFirst"/>, from 0; one that is not listed comes last.</summary>
    public int Place(ProductClass product)
    {
        var at = SpeaksFirst.ToList().IndexOf(product);
        return at < 0 ? SpeaksFirst.Count : at;
    }

    /// <summary>Whether a step waits while these reports are open. A tier the rules do not speak of holds everything.</summary>
    public bool Holds(StepKind kind, IEnumerable<Tier> open) => open.Any(tier => !Held.TryGetValue(tier, out var kinds) || kinds.Contains(kind));

    /// <summary>The text that goes out in place of one, when several classes are fresh on a day.</summary>
    /// <param name="textId">The text of the step.</param>
    /// <param name="daysSince">Days since each class was given; 0 or more.</param>
    public string TextFor(string textId, IReadOnlyDictionary<ProductClass, int> daysSince) =>
        Shared.FirstOrDefault(rule => rule.Holds(daysSince) && rule.Instead.ContainsKey(textId))?.Instead[textId] ?? textId;
}

/// <summary>What a touch-up of a class does not ask for anew. Everything else of its sequence starts again with it: it is an injection like the first.</summary>
/// <param name="LeavesOut">Kinds of step that are not asked for anew: what the treatment touched up still asks for stays on its days. Never one that warns or asks how it is.</param>
/// <param name="FromFirst">Texts whose days go on counting from the treatment that is touched up.</param>
/// <param name="FromFirstAfterDays">None of those in so many days after the touch-up; 0 or more.</param>
public sealed record TouchUpRules(IReadOnlyList<StepKind> LeavesOut, IReadOnlyList<string> FromFirst, int FromFirstAfterDays);

/// <summary>Texts that name the urgent signs of two groups of classes.</summary>
/// <param name="Id">The rule's id.</param>
/// <param name="AnyOf">One group.</param>
/// <param name="With">The other group.</param>
/// <param name="ThroughDay">Both must be this fresh, in days since each was given.</param>
/// <param name="Instead">Text id of one class → text id of both.</param>
public sealed record SharedText(
    string Id, IReadOnlyList<ProductClass> AnyOf, IReadOnlyList<ProductClass> With, int ThroughDay, IReadOnlyDictionary<string, string> Instead)
{
    internal bool Holds(IReadOnlyDictionary<ProductClass, int> daysSince) => Fresh(AnyOf, daysSince) && Fresh(With, daysSince);

    private bool Fresh(IReadOnlyList<ProductClass> group, IReadOnlyDictionary<ProductClass, int> daysSince) =>
        group.Any(product => daysSince.TryGetValue(product, out var days) && days >= 0 && days <= ThroughDay);
}

/// <summary>One topic on which two classes ask for opposite things.</summary>
/// <param name="Topic">For example <c>rubbing</c>.</param>
/// <param name="WithinDays">Treatments this many days apart are in each other's way.</param>
/// <param name="Says">The rule in plain words, shown to the clinician.</param>
public sealed record AdviceConflict(string Topic, int WithinDays, string Says);

/// <summary>Words of which every check-in, tip and safety text must hold one, while a class is fresh.</summary>
/// <param name="Products">The classes.</param>
/// <param name="ThroughDay">Days since it was given.</param>
/// <param name="Words">By language: each entry is a list of words, one of which must stand in the text.</param>
public sealed record NamedSigns(IReadOnlyList<ProductClass> Products, int ThroughDay, IReadOnlyDictionary<string, IReadOnlyList<IReadOnlyList<string>>> Words);
