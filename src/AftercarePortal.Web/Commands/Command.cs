namespace AftercarePortal.Web.Commands;

/// <summary>What the program's first word asks for; without one it serves the portal.</summary>
internal static class Command
{
    public static async Task<int> Run(string[] args)
    {
        await Portal.Build(args).RunAsync();
        return 0;
    }
}
