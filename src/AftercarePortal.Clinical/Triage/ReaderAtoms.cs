namespace AftercarePortal.Clinical.Triage;

/// <summary>Numbers of the atoms the reader itself works with.</summary>
internal sealed class ReaderAtoms(Func<string, int> numberOf)
{
    /// <summary>Names every lexicon must have.</summary>
    internal static readonly string[] Needed =
    [
        "deny", "denyfar", "denyafter", "nodenial", "or", "but", "worse", "plea", "atonce", "cry", "surely", "body", "part", "fine", "topic", "plain", "photo", "normal", "admin", "wrong", "sad",
        "whatif", "longago", "nowword", "resolved", "hedge", "other", "idiom", "code", "foreign", "thing", "cosa", "adjective", "pain", "small", "courtesy", "title", "danger", "and", "without", "cantword", "link", "bruisenoun", "moreton", "bruisehue", "becoming", "quality", "listed", "allfine",
    ];

    /// <summary>Atoms numbers give.</summary>
    internal static readonly string[] OfNumbers = ["#fever", "#hot", "#temp", "#painful", "#rise", "#mid", "#two", "#many", "#forty", "#year"];

    internal int Deny { get; } = numberOf("deny");
    internal int DenyFar { get; } = numberOf("denyfar");
    internal int DenyAfter { get; } = numberOf("denyafter");
    internal int NoDenial { get; } = numberOf("nodenial");
    internal int Or { get; } = numberOf("or");
    internal int But { get; } = numberOf("but");
    internal int Worse { get; } = numberOf("worse");
    internal int Plea { get; } = numberOf("plea");
    internal int AtOnce { get; } = numberOf("atonce");
    internal int Cry { get; } = numberOf("cry");
    internal int Surely { get; } = numberOf("surely");
    internal int Body { get; } = numberOf("body");
    internal int Part { get; } = numberOf("part");
    internal int Fine { get; } = numberOf("fine");
    internal int Topic { get; } = numberOf("topic");
    internal int Plain { get; } = numberOf("plain");
    internal int Photo { get; } = numberOf("photo");
    internal int Normal { get; } = numberOf("normal");
    internal int Admin { get; } = numberOf("admin");
    internal int Wrong { get; } = numberOf("wrong");
    internal int Sad { get; } = numberOf("sad");
    internal int WhatIf { get; } = numberOf("whatif");
    internal int LongAgo { get; } = numberOf("longago");
    internal int Now { get; } = numberOf("nowword");
    internal int Resolved { get; } = numberOf("resolved");
    internal int Hedge { get; } = numberOf("hedge");
    internal int Other { get; } = numberOf("other");
    internal int Idiom { get; } = numberOf("idiom");
    internal int Code { get; } = numberOf("code");
    internal int Foreign { get; } = numberOf("foreign");
    internal int Thing { get; } = numberOf("thing");
    internal int Cosa { get; } = numberOf("cosa");
    internal int Adjective { get; } = numberOf("adjective");
    internal int Courtesy { get; } = numberOf("courtesy");
    internal int Danger { get; } = numberOf("danger");
    internal int Without { get; } = numberOf("without");
    internal int CantWord { get; } = numberOf("cantword");
    internal int Link { get; } = numberOf("link");
    internal int BruiseNoun { get; } = numberOf("bruisenoun");
    internal int Moreton { get; } = numberOf("moreton");
    internal int BruiseHue { get; } = numberOf("bruisehue");
    internal int Becoming { get; } = numberOf("becoming");
    internal int Quality { get; } = numberOf("quality");
    internal int Listed { get; } = numberOf("listed");
    internal int AllFine { get; } = numberOf("allfine");
    internal int And { get; } = numberOf("and");
    internal int Title { get; } = numberOf("title");
    internal int Small { get; } = numberOf("small");
    internal int Pain { get; } = numberOf("pain");
    internal int Fever { get; } = numberOf("#fever");
    internal int Hot { get; } = numberOf("#hot");
    internal int Temp { get; } = numberOf("#temp");
    internal int Two { get; } = numberOf("#two");
    internal int Many { get; } = numberOf("#many");
    internal int Forty { get; } = numberOf("#forty");
    internal int Year { get; } = numberOf("#year");
    internal int Painful { get; } = numberOf("#painful");
    internal int Risen { get; } = numberOf("#rise");
    internal int Mid { get; } = numberOf("#mid");
}
