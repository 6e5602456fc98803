using AftercarePortal.Web.Commands;
using AftercarePortal.Web.Features.Patients;

namespace AftercarePortal.Web.Tests.House.Bait;

/// <summary>Breaks the arrows on purpose: an adapter or the data room that knows a feature would look like this.</summary>
internal static class Knows_a_feature
{
    public static string NameOf(PatientRow patient) => patient.Name;
}

/// <summary>A feature that knows the commands would look like this.</summary>
internal static class Knows_the_commands
{
    public static Task<int> Start() => Command.Run([]);
}
