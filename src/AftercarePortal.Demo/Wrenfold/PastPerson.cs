using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Demo.Wrenfold;

/// <summary>One invented person of the clinic's past: what she wished, what was found, and what was used. Drawn anew the same way every time.</summary>
internal sealed class PastPerson
{
    private static readonly string[] First = ["Alma", "Berit", "Cleo", "Dora", "Edda", "Fenna", "Greta", "Hedda", "Ilse", "Juna", "Karla", "Lotta"];
    private static readonly string[] Last = ["Birk", "Clay", "Fenwick", "Holt", "Lark"];
    private static readonly string[][] Wishes = [["jaw-angle", "jaw-body"], ["jaw-body", "pre-jowl"], ["jaw-angle", "jaw-body", "pre-jowl"], ["chin"], ["jaw-body", "chin"], ["labiomental-fold"]];

    public PastPerson(Random chance, PriceModel model, int number)
    {
        Number = number;
        Name = $"{First[number % First.Length]} {Last[number / First.Length % Last.Length]}";
        Born = chance.Next(1962, 2002);
        Male = chance.NextDouble() < 0.12;
        Regions = Wishes[chance.Next(Wishes.Length)];
        Product = chance.NextDouble() < 0.75 ? "caha-filler" : "ha-filler";
        Strength = chance.Next(4) switch { 0 => "subtle", 3 => "strong", _ => "clear" };
        Laxity = Math.Clamp((2026 - Born) / 18 - 1 + chance.Next(2), 0, 3);
        Bone = Math.Clamp((2026 - Born) / 30 - 1 + chance.Next(2), 0, 2);
        Examined = chance.NextDouble() < 0.7;
        ByTomas = chance.NextDouble() < 0.4;
        TopUp = chance.NextDouble() < 0.3;
        Sessions = chance.NextDouble() < 0.25 * Laxity ? 1 + chance.Next(2) : 0;
        // This clinic uses somewhat more than the model's start, one of its two people more than the other.
        var shift = (ByTomas ? 0.30 : 0.12) + (Strength switch { "subtle" => -0.2, "strong" => 0.2, _ => 0 }) + (Male ? 0.25 : 0) + model.Laxity.Scores[Laxity] + model.Bone.Scores[Bone] + 0.2 * Normal(chance);
        foreach (var region in model.Regions.Where(r => Regions.Contains(r.Code)))
        {
            var own = 0.15 * Normal(chance);
            // Now and then less is treated than was wished.
            if (number % 15 == 5 && Amounts.Count > 0) continue;
            for (var side = 0; side < region.Sides; side++)
                Amounts.Add((region.Code, region.Sides == 1 ? "Midline" : side == 0 ? "Left" : "Right", Math.Clamp(Math.Round(region.MedianMl * Math.Exp(shift + own + 0.1 * Normal(chance)), 2), 0.05, 6)));
        }
    }

    /// <summary>From 0.</summary>
    public int Number { get; }
    public string Name { get; }
    public int Born { get; }
    public bool Male { get; }
    public string[] Regions { get; }
    public string Product { get; }
    public string Strength { get; }
    public int Laxity { get; }
    public int Bone { get; }
    public bool Examined { get; }
    public bool ByTomas { get; }
    public bool TopUp { get; }
    public int Sessions { get; }
    /// <summary>Invited, and never came.</summary>
    public bool StayedAway => Number % 11 == 7;
    /// <summary>Region code, side and mL of the first visit.</summary>
    public List<(string Region, string Side, double Ml)> Amounts { get; } = [];

    /// <summary>What she answers where it matters; the rest is "none", "no" or left out.</summary>
    public string[]? AnswerTo(string linkId) => linkId switch
    {
        "sex" => [Male ? "male" : "female"],
        "wish-regions" => Regions,
        "wish-product" => [Product],
        "wish-strength" => [Strength],
        "side-difference" => ["slight"],
        _ => null,
    };

    private static double Normal(Random chance) => Math.Sqrt(-2 * Math.Log(1 - chance.NextDouble())) * Math.Cos(2 * Math.PI * chance.NextDouble());
}
