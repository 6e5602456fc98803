using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Pricing;
using NodaTime;

namespace AftercarePortal.Web.Commands.Simulation;

/// <summary>One invented clinic: its true habits, and its patients one after another.</summary>
internal sealed class SimulatedClinic
{
    private static readonly (string[] Regions, double Share)[] Wished =
    [
        (["jaw-angle"], 0.15), (["pre-jowl"], 0.10), (["jaw-angle", "jaw-body"], 0.20), (["jaw-body", "pre-jowl"], 0.15), (["jaw-angle", "jaw-body", "pre-jowl"], 0.30), (["jaw-angle", "jaw-body", "pre-jowl", "chin"], 0.10),
    ];

    private static readonly LocalDate First = new(2025, 1, 6);
    private readonly PriceModel _model;
    private readonly Generator _generator;
    private readonly Draws _draws;
    private readonly double _f;
    private readonly double _level;
    private readonly Dictionary<string, double> _region;
    private readonly double _men;
    private readonly double _strength;
    private readonly double _laxity;
    private readonly double _bone;

    internal SimulatedClinic(PriceModel model, Generator generator, int seed)
    {
        (_model, _generator, _draws) = (model, generator, new(seed));
        _f = Math.Sqrt(_draws.Spread(model.Spread.LikeCases, model.Spread.Scale));
        double Around(double mean, double sd) => mean + _f * sd * _draws.Normal();
        _level = Around(0, generator.ClinicSpread * model.LevelSd);
        _region = model.Regions.ToDictionary(r => r.Code, r => Around(0, generator.ClinicSpread * r.LevelSd));
        _men = generator.Men ?? Around(model.Effects["male"].Mean, model.Effects["male"].Sd);
        _strength = Around(model.Effects["strength"].Mean, model.Effects["strength"].Sd);
        _laxity = Around(model.Laxity.Strength.Mean, model.Laxity.Strength.Sd);
        _bone = Around(model.Bone.Strength.Mean, model.Bone.Strength.Sd);
    }

    /// <summary>The next patient: what is known before, and what came.</summary>
    internal CompletedCase Next(int number, double unitMl)
    {
        var wished = Wished[_draws.Pick([.. Wished.Select(w => w.Share)])].Regions;
        var age = _model.Ages[_draws.Pick([.. _model.Ages.Select(a => a.Share)])];
        bool male = _draws.Uniform() < _model.Open.Male, weight = _draws.Uniform() < _model.Open.WeightChange, teeth = _draws.Uniform() < _model.Open.ToothLoss;
        var strength = _draws.Pick([.. ((string[])["subtle", "clear", "strong"]).Select(s => _model.Open.Strength[s])]);
        var said = ((string[])["none", "slight", "marked"])[_draws.Pick([0.3, 0.5, 0.2])];
        int g = _draws.Pick(OrderedLogit.Levels(_model.Laxity.Cuts, _model.Laxity.ByYear * (age.Middle - _model.Laxity.FromAge) + (weight ? _model.Laxity.IfYes : 0) + _generator.Laxer));
        int b = _draws.Pick(_model.Bone.Levels(age.Middle, teeth)), a = _draws.Pick(_model.SideDifference.ByAnswer[said]);
        var common = _level + (male ? _men : 0) + (strength - 1) * _strength + _laxity * _model.Laxity.Scores[g] + _bone * _model.Bone.Scores[b] + (number > _generator.DriftAfter ? _generator.Drift : 0)
            + (_generator.SecondInjector > 0 && _draws.Uniform() < 0.5 ? _generator.SecondInjector : 0) + _f * _model.Spread.WholeFace * (_generator.OtherShapes ? _draws.HeavyTailed() : _draws.Normal());
        var amounts = new List<CompletedCase.Amount>();
        foreach (var region in _model.Regions.Where(r => wished.Contains(r.Code)))
        {
            var here = common + _region[region.Code] + _f * _model.Spread.Region * _draws.Normal();
            for (var side = 0; side < region.Sides; side++)
            {
                var own = _f * _model.Spread.Side * _model.SideDifference.Factor[a];
                amounts.Add(new(region.Code, region.MedianMl * Math.Exp(here) * (_generator.OtherShapes ? _draws.Gamma(own) : Math.Exp(own * _draws.Normal()))));
            }
        }

        if (_draws.Uniform() < _generator.UseUp)
        {
            var whole = amounts.Sum(x => x.Ml);
            var more = Math.Ceiling(whole / unitMl) * unitMl / whole;
            amounts = [.. amounts.Select(x => x with { Ml = x.Ml * more })];
        }

        var on = First.PlusDays(3 * number);
        var born = on.PlusYears(-(int)age.Middle).PlusDays(-40);
        var answers = new Dictionary<string, string>
        {
            ["birth-date"] = NodaTime.Text.LocalDatePattern.Iso.Format(born), ["sex"] = male ? "male" : "female", ["weight-change"] = weight ? "yes" : "no", ["tooth-loss"] = teeth ? "yes" : "no",
            ["earlier-filler"] = "no", ["wish-strength"] = ((string[])["subtle", "clear", "strong"])[strength], ["side-difference"] = said,
        };
        return new($"case-{number:0000}", on, "caha-filler", new(answers.ToDictionary(x => x.Key, Answer (x) => new Answer.Given([x.Value]))), amounts, g, b, a);
    }
}
