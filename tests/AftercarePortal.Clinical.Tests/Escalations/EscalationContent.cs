using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Clinical.Tests.Triage;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;

namespace AftercarePortal.Clinical.Tests.Escalations;

internal static class EscalationContent
{
    internal static readonly Tier[] Paging = [Tier.SameDay, Tier.Urgent, Tier.Emergency];

    internal static EscalationPolicy Policy { get; } = Read();

    internal static ContentDocument Load(string file)
    {
        var errors = new List<ContentError>();
        return ContentDocument.Load(Path.Combine(TriageContent.Root, "content", "escalation", file), errors)
            ?? throw new InvalidOperationException(string.Join('\n', errors));
    }

    private static EscalationPolicy Read()
    {
        var errors = new List<ContentError>();
        return EscalationReader.Read(Load("policy.v1.yaml"), errors) ?? throw new InvalidOperationException(string.Join('\n', errors));
    }
}
