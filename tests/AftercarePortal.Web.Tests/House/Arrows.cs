using AftercarePortal.Clinical.Triage;
using Xunit;

namespace AftercarePortal.Web.Tests.House;

/// <summary>Who may know whom. Each rule has a twin that proves it can fail.</summary>
public sealed class Arrows
{
    public static TheoryData<Arrow> EachArrow => [.. Arrow.All];

    [Theory]
    [MemberData(nameof(EachArrow))]
    public void The_folder_knows_nothing_it_must_not(Arrow arrow) => Assert.Empty(arrow.BrokenIn(typeof(Portal).Assembly));

    [Theory]
    [MemberData(nameof(EachArrow))]
    public void The_same_rule_catches_a_type_that_does(Arrow arrow) =>
        Assert.NotEmpty(arrow.BrokenIn(typeof(Arrows).Assembly, "AftercarePortal.Web.Tests.House.Bait"));

    [Fact]
    public void The_core_references_NodaTime_only() => Assert.Empty(OtherReferences(typeof(Tier)));

    [Fact]
    public void The_same_rule_catches_an_assembly_that_references_more() => Assert.NotEmpty(OtherReferences(typeof(Portal)));

    private static IEnumerable<string> OtherReferences(Type inside) =>
        inside.Assembly.GetReferencedAssemblies().Select(a => a.Name!).Where(name => name is not "NodaTime" && !name.StartsWith("System.", StringComparison.Ordinal));
}
