using System.Text.RegularExpressions;
using AftercarePortal.Clinical.Tests.Candidacy;
using AftercarePortal.Web.ContentFiles;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Pricing;

public sealed class Price_content
{
    [Theory]
    [InlineData("jaw-body: {", "jaw-boddy: {", "/regions/jaw-boddy")]
    [InlineData("median_ml: 0.60", "median_ml: -0.60", "/regions/jaw-angle/median_ml")]
    [InlineData("median_ml: 0.60", "median: 0.60", "/regions/jaw-angle/median")]
    [InlineData("level_sd: 0.15, tag: practice }", "level_sd: 0.15 }", "/regions/jaw-angle/tag")]
    [InlineData("whole_face: 0.20", "whole_face: wide", "/spread/whole_face")]
    [InlineData("male: { mean: 0.25", "man: { mean: 0.25", "/effects/man")]
    [InlineData("cuts: [-0.9, 0.6, 2.2]", "cuts: [-0.9, 2.6, 2.2]", "/laxity/cuts")]
    [InlineData("cuts: [0.8, 2.6]", "cuts: [0.8]", "/bone/cuts")]
    [InlineData("answer: tooth-loss", "answer: teeth-lost", "/bone/answer")]
    [InlineData("unanswered: [0.42, 0.40, 0.18]", "unanswered: [0.42, 0.40, 0.28]", "/side_difference/unanswered")]
    [InlineData("none: [0.60, 0.32, 0.08]", "none: [0.60, 0.40]", "/side_difference/by_answer")]
    [InlineData("- { from: 30,", "- { from: 17,", "/ages/1/from")]
    [InlineData("share: 0.12", "share: 0.22", "/ages")]
    [InlineData("longer: 0.30", "long: 0.30", "/open/earlier-filler-when/long")]
    [InlineData("wish-product: { caha-filler: 0.50", "wish-product: { caha-filler: 0.60", "/open/wish-product")]
    [InlineData("probability: 0.35", "probability: 35", "/second_visit/probability")]
    [InlineData("    - [[26, 1]]\n", "", "/toxin/by_laxity")]
    [InlineData("[[26, 1]]", "[[26, 0.9]]", "/toxin/by_laxity/0")]
    [InlineData("  sources: [{ id: S44, grade: A, seen: true }]\n", "", "/toxin/sources")]
    [InlineData("{ id: S70, grade: B, seen: true }", "{ id: S70, grade: E, seen: true }", "/side_difference/sources/0")]
    [InlineData("product: caha-filler, regions", "product: plla, regions", "/visit_cap/product")]
    [InlineData("most_units: 30", "most_units: 3000", "/most_units")]
    [InlineData("    bone: How well", "    bones: How well", "/words/reasons/bone")]
    [InlineData("questionnaire: lower-face.v1", "questionnaire: lower-face.v2", "/questionnaire")]
    [InlineData("status: draft", "status: published", "/signed_by")]
    public void A_wrong_number_or_word_of_the_model_is_reported_with_its_place(string from, string to, string pointer)
    {
        var errors = Faults("lower-face-model.v1.yaml", from, to, (doc, faults) => PricingReader.Read(doc, CandidacyContent.Questionnaire, faults));
        Assert.Contains(errors, e => e.Path == pointer && e.Line > 1);
    }

    [Theory]
    [InlineData("currency: USD", "currency: dollars", "/currency")]
    [InlineData("currency: USD", "currency: XYZ", "/currency")]
    [InlineData("unit_ml: 1.5", "unit_ml: 0", "/fillers/caha-filler/unit_ml")]
    [InlineData("first: 60000", "first: 600.5", "/fillers/caha-filler/first")]
    [InlineData("session: 30000", "session: 0", "/session")]
    [InlineData("first: 60000", "first: 0", "/fillers/caha-filler/first")]
    [InlineData("first: 60000", "first: -1", "/fillers/caha-filler/first")]
    [InlineData("tax_basis_points: 0", "tax_basis_points: 10001", "/tax_basis_points")]
    [InlineData("session: 30000", "sesion: 30000", "/sesion")]
    [InlineData("effective: 2026-12-01", "effective: soon", "/effective")]
    public void A_wrong_price_is_reported_with_its_place(string from, string to, string pointer)
    {
        var errors = Faults("wrenfold-prices.v1.yaml", from, to, (doc, faults) => PriceListReader.Read(doc, faults, PricingContent.Model));
        Assert.Contains(errors, e => e.Path == pointer && e.Line > 1);
    }

    [Fact]
    public void A_price_that_is_not_set_is_absent_and_not_0()
    {
        var text = string.Join('\n', File.ReadLines(Path.Combine(CandidacyContent.Folder, "pricing", "wrenfold-prices.v1.yaml")).Where(l => !l.StartsWith("session:", StringComparison.Ordinal)));
        Assert.Null(PriceListReader.Read(CandidacyContent.FromText("prices.yaml", text), [], PricingContent.Model)!.Session);
    }

    [Fact]
    public void Every_source_is_in_the_bibliography_and_none_is_marked_seen_that_was_not()
    {
        var listed = CandidacyContent.Load("", "sources.yaml").Root["sources"]!.AsArray().ToDictionary(s => s!["id"]!.GetValue<string>(), s => s!["seen"]!.GetValue<bool>());
        var cited = Regex.Matches(PricingContent.ModelFile.Root.ToJsonString(), "\"id\":\"(?<id>[^\"]+)\",\"grade\":\"[A-Z]\",\"seen\":(?<seen>true|false)");
        Assert.NotEmpty(cited);
        Assert.All(cited, c => Assert.Equal(listed[c.Groups["id"].Value], bool.Parse(c.Groups["seen"].Value)));
    }

    [Fact]
    public void No_sentence_promises_clears_or_offers_less()
    {
        var promises = new Regex(@"\b(un)?suitable|\bcandidate|\b(is|are|be) (safe|fine|normal|ok|okay)\b|no risk|don't worry|guarantee|discount|cheap|\bsave\b|offer|hurry", RegexOptions.IgnoreCase);
        Assert.Matches(promises, "You are suitable, with a discount.");
        var words = PricingContent.Model.Words;
        Assert.All(words.Reasons.Values.Concat(words.Narrows.Values).Concat(words.Lines.Values).Append(words.Staged), w => Assert.DoesNotMatch(promises, w));
    }

    [Fact]
    public void The_cold_start_is_the_model_and_nothing_else()
    {
        var cold = PricingContent.Model.ColdStart();
        Assert.Null(cold.Fault());
        Assert.Equal((0, 8, 1, 0.25, 1), (cold.Cases, cold.Nu, cold.S2, cold.MeanOf("male"), cold.MeanOf("laxity")));
    }

    private static List<ContentError> Faults(string file, string from, string to, Func<ContentDocument, List<ContentError>, object?> read)
    {
        var text = File.ReadAllText(Path.Combine(CandidacyContent.Folder, "pricing", file));
        Assert.Contains(from, text);
        var errors = new List<ContentError>();
        Assert.Null(read(CandidacyContent.FromText(file, new Regex(Regex.Escape(from)).Replace(text, to, 1)), errors));
        return errors;
    }
}
