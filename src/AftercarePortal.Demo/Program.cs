using AftercarePortal.Web;

await Portal.Build(args).RunAsync();
